import type { Compared, ComparedFile, Comparing } from '../../src/batch/comparing.ts';
import { readScan } from '../../src/formats/read-scan.ts';
import { InputError } from '../../src/geometry/input-error.ts';
import { failedRecord, failureOf } from '../../src/records/failed-record.ts';
import type { Subject } from '../../src/records/subject.ts';
import { modelComparison } from '../records/model-comparison.ts';
import { modelRecord } from '../records/model-record.ts';

/** Points beyond the baseline's for each millimetre of projection that an invented neck sinks. */
export const POINTS_A_MM = 100;
/** Fewer are no instrument. */
const FEWEST = 8;
export const POINTS_OF_ANOTHER = 904;
export const POINTS_THAT_BREAK = 905;
export const POINTS_THAT_END = 906;

/** Reads scans in earnest and answers with an invented violin that sinks by a hundredth of a millimetre for each point that a later scan has more. */
export const modelComparing: Comparing = async (baseline, now) => {
  const first = await counted(baseline);
  const at = () => now().toISOString();
  return {
    record: async () => ({ ...modelRecord(first.subject), measuredAt: at() }),
    compare: async (later): Promise<Compared> => {
      try {
        const second = await counted(later);
        if (second.count === POINTS_OF_ANOTHER) throw new InputError('different-body', 'the bodies do not match');
        const projection = (first.count - second.count) / POINTS_A_MM;
        return { record: { ...modelComparison({ projection }, second.subject, baseline.subject.scan), measuredAt: at() } };
      } catch (error) {
        const record = { ...failedRecord(later.subject, failureOf(error), at()), baseline: baseline.subject.scan };
        return error instanceof TypeError ? { record, stack: error.stack ?? '' } : { record };
      }
    },
  };
};

async function counted({ path, subject }: ComparedFile): Promise<{ count: number; subject: Subject }> {
  const { scan, sha256 } = await readScan(path);
  const count = scan.positions.length / 3;
  if (count < FEWEST) throw new InputError('no-instrument', `holds ${count} points, too few for an instrument`);
  if (count === POINTS_THAT_END) process.exit(3);
  if (count === POINTS_THAT_BREAK) throw new TypeError('planted fault');
  return { count, subject: { ...subject, sha256 } };
}
