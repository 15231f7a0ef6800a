// `npm run sample-scans`: writes sample-scans/ anew. The same sources give the same files.
import { fileURLToPath } from 'node:url';
import { writeSampleScans } from '../src/samples/write-sample-scans.ts';

await writeSampleScans(fileURLToPath(new URL('../sample-scans', import.meta.url)));
