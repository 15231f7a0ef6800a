// Loaded before a program that is timed (node --import): at its end it writes to file descriptor 3 what the whole process used.
import { existsSync, readFileSync, writeSync } from 'node:fs';

process.on('exit', () => {
  const { userCPUTime, systemCPUTime, maxRSS } = process.resourceUsage();
  writeSync(3, JSON.stringify({ user: userCPUTime / 1e6, system: systemCPUTime / 1e6, megabytes: peakKilobytes(maxRSS) / 1024 }));
});

/** On Linux the peak that getrusage tells still counts the parent from before the program was loaded; that of the address space does not. */
function peakKilobytes(otherwise) {
  const status = '/proc/self/status';
  const peak = existsSync(status) ? /VmHWM:\s+(\d+) kB/.exec(readFileSync(status, 'utf8')) : null;
  return peak === null ? otherwise : Number(peak[1]);
}
