import type { MeasuredRecord } from '../records/record.ts';

/** A scan's noise in words: how large, and how far neighbouring points share it. */
export function noiseWords({ sigma, correlatedNoise, correlationLength, effectivePoints }: MeasuredRecord['survey']): string {
  const noise = `${sigma.toFixed(3)} mm`;
  if (correlatedNoise === undefined || correlationLength === undefined || effectivePoints === undefined) return noise;
  if (correlatedNoise === 0) return `${noise}, independent from point to point`;
  return `${noise}, of which neighbours share ${correlatedNoise.toFixed(3)} mm over ${correlationLength.toFixed(1)} mm: the points count as ${effectivePoints.toLocaleString('en')} independent ones`;
}
