import { random } from '../../src/numerics/random.ts';
import { buildInstrument, randomSpec } from '../../src/samples/instrument.ts';
import { SCAN_DEFAULTS } from '../../src/samples/scan-settings.ts';
import { scanInstrument } from '../../src/samples/scanner.ts';
import type { Shape } from '../../src/samples/write-ply.ts';

/** Spacing, mm, at which the scan below has this many triangles, a little more rather than less. */
const KNOWN = { spacing: 0.7, triangles: 1.13e6 };

/** An ordinary scan of a fitted violin with about `triangles` triangles; `draw` tells repeat scans of it apart. */
export function benchScan(triangles: number, draw = 'scan'): Shape & { readonly triangles: Uint32Array } {
  const stream = random('bench');
  const instrument = buildInstrument(randomSpec('violin', 'modern', stream.fork('instrument')));
  const scan = scanInstrument(
    instrument,
    {
      ...SCAN_DEFAULTS,
      sigma: 0.05,
      correlated: { amplitude: 0.02, length: 50, kernel: 'gaussian' },
      fittings: 'fitted',
      spacing: KNOWN.spacing * Math.sqrt(KNOWN.triangles / triangles),
    },
    stream.fork(draw),
  );
  return { positions: scan.positions, triangles: scan.triangles as Uint32Array };
}
