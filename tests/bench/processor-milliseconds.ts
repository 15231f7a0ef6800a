/** Time that this process has spent on the processor, all its threads together: the clock also counts what others do meanwhile. */
export function processorMilliseconds(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}
