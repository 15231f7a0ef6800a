import { readScan } from '../formats/read-scan.ts';
import { measureScan } from '../measures/measure-scan.ts';
import { serveTasks } from './serve-tasks.ts';

serveTasks({ readScan, measureScan }, async () => {
  const { openBaseline } = await import('./compare-files.ts');
  return (baseline, now) => openBaseline(readScan, baseline, now);
});
