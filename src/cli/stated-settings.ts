import type { Unit } from '../geometry/scan.ts';
import type { InstrumentClass } from '../measures/family.ts';
import type { Settings } from '../records/record.ts';

/** The options by which a user states what the scan would otherwise have to show. */
export interface StatedOptions {
  readonly class?: InstrumentClass | 'auto';
  readonly unit?: Unit | 'auto';
  /** mm. */
  readonly stop?: number;
  /** mm. */
  readonly bridgeHeight?: number;
}

/** `auto` states nothing. */
export const statedSettings = (options: StatedOptions): Settings => ({
  ...(options.class === undefined || options.class === 'auto' ? {} : { class: options.class }),
  ...(options.unit === undefined || options.unit === 'auto' ? {} : { unit: options.unit }),
  ...(options.stop === undefined ? {} : { stop: options.stop }),
  ...(options.bridgeHeight === undefined ? {} : { bridgeHeight: options.bridgeHeight }),
});
