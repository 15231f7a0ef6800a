import type { MeasureOptions } from '../measures/result.ts';
import type { Settings } from '../records/record.ts';

/** The settings of a record in the words of the measuring code. */
export function measureOptions(settings: Settings): MeasureOptions {
  const basis = settings.statedBy ?? 'given';
  return {
    ...(settings.class === undefined ? {} : { instrumentClass: settings.class, classBasis: basis }),
    ...(settings.unit === undefined ? {} : { unit: settings.unit, unitBasis: basis }),
    ...(settings.stop === undefined ? {} : { stop: settings.stop, stopBasis: basis }),
    ...(settings.bridgeHeight === undefined ? {} : { bridgeHeight: settings.bridgeHeight }),
    ...(settings.earlySet === undefined ? {} : { earlySet: settings.earlySet }),
    ...(settings.scaleU === undefined ? {} : { scaleU: settings.scaleU }),
    ...(settings.noise === undefined ? {} : { noise: settings.noise }),
    ...(settings.longWave === undefined ? {} : { longWave: settings.longWave }),
    ...(settings.longWaveLength === undefined ? {} : { longWaveLength: settings.longWaveLength }),
  };
}
