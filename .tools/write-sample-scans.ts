// `npm run sample-scans`: writes sample-scans/ anew. The same sources give the same files.
import { fileURLToPath } from 'node:url';
import { writeRepeatSamples } from '../src/samples/write-repeat-samples.ts';
import { writeSampleScans } from '../src/samples/write-sample-scans.ts';

const folder = fileURLToPath(new URL('../sample-scans', import.meta.url));
await writeSampleScans(folder);
await writeRepeatSamples(folder);
