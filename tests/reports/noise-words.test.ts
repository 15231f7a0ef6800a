import { expect, it } from 'vitest';
import { noiseWords } from '../../src/reports/noise-words.ts';

const survey = { sigma: 0.0512, spacing: 0.5, extent: [590, 207, 92], coverage: {} } as const;

it('a scan says how far its points share their noise, or that they do not, or nothing', () => {
  expect(noiseWords(survey)).toBe('0.051 mm');
  expect(noiseWords({ ...survey, correlatedNoise: 0, correlationLength: 0, effectivePoints: 900 })).toBe(
    '0.051 mm, independent from point to point',
  );
  expect(noiseWords({ ...survey, correlatedNoise: 0.04, correlationLength: 2.46, effectivePoints: 17100 })).toBe(
    '0.051 mm, of which neighbours share 0.040 mm over 2.5 mm: the points count as 17,100 independent ones',
  );
});
