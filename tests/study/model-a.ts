import { random } from '../../src/numerics/random.ts';
import { buildInstrument, randomSpec } from '../../src/samples/instrument.ts';
import { SCAN_DEFAULTS, type ScanSettings } from '../../src/samples/scan-settings.ts';
import { scanInstrument } from '../../src/samples/scanner.ts';
import { truthOf } from '../../src/samples/truth.ts';
import { writePly } from '../../src/samples/write-ply.ts';
import type { PlanEntry } from './plan.ts';
import type { ModelledScan } from './study-truth.ts';

/** Violin to which spacings refer, mm. */
const VIOLIN = 355;
/** Every third fitted instrument also wears a shoulder rest. */
const FULL_EVERY = 3;

/** A scan of the project's own model. The same entry gives the same bytes. */
export function modelA(entry: PlanEntry): ModelledScan {
  const { conditions } = entry;
  const stream = random(`study ${entry.draw}`);
  const instrument = buildInstrument(randomSpec(conditions.instrument, conditions.set, stream.fork('instrument')));
  const settings: ScanSettings = {
    ...SCAN_DEFAULTS,
    sigma: conditions.sigma,
    correlated: conditions.correlated,
    spacing: (conditions.spacing * instrument.spec.body.outline.length) / VIOLIN,
    view: conditions.view,
    fittings: conditions.fittings === 'bare' ? 'bare' : entry.number % FULL_EVERY === 0 ? 'full' : 'fitted',
    unit: entry.unit,
    kind: entry.form,
  };
  const scan = scanInstrument(instrument, settings, stream.fork('scan'));
  return { bytes: writePly(scan, 'binary_little_endian'), truth: truthOf(instrument, scan) };
}
