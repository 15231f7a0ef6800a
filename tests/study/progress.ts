/** Tells on standard error how far a study is. */
export function progress(count: number): (what: string) => void {
  const start = Date.now();
  let finished = 0;
  return (what) => {
    finished++;
    const left = ((Date.now() - start) / finished) * (count - finished);
    say(`${finished}/${count} ${what}, about ${Math.ceil(left / 60000)} min left`);
  };
}

export function say(text: string): void {
  process.stderr.write(`study: ${text}\n`);
}
