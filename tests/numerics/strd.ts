import { readFileSync } from 'node:fs';

/** A problem of NIST's Statistical Reference Datasets, nonlinear regression, as its file states it. */
export interface StrdProblem {
  readonly name: string;
  readonly starts: readonly [readonly number[], readonly number[]];
  readonly certified: readonly number[];
  readonly certifiedSd: readonly number[];
  readonly certifiedRss: number;
  /** Response. */
  readonly y: Float64Array;
  /** Predictors, one array each. */
  readonly x: readonly Float64Array[];
}

/** Reads `tests/data/reference/strd/<name>.dat`. */
export function readStrd(name: string): StrdProblem {
  const lines = readFileSync(new URL(`../data/reference/strd/${name}.dat`, import.meta.url), 'latin1').split(/\r?\n/);
  const parameters = lines.map((line) => /^\s*b\d+\s*=\s*(.*)$/.exec(line)?.[1]).filter((rest) => rest !== undefined);
  const columns = parameters.map((rest) => rest.trim().split(/\s+/).map(Number));
  const rss = lines.map((line) => /^Residual Sum of Squares:\s*(\S+)/.exec(line)?.[1]).find((value) => value !== undefined);
  const first = lines.findLastIndex((line) => /^Data:\s+y\s+x/.test(line)) + 1;
  const rows = lines
    .slice(first)
    .map((line) => line.trim())
    .filter((line) => line !== '')
    .map((line) => line.split(/\s+/).map(Number));
  return {
    name,
    starts: [columns.map((c) => c[0]), columns.map((c) => c[1])],
    certified: columns.map((c) => c[2]),
    certifiedSd: columns.map((c) => c[3]),
    certifiedRss: Number(rss),
    y: Float64Array.from(rows, (row) => row[0]),
    x: rows[0].slice(1).map((_, k) => Float64Array.from(rows, (row) => row[k + 1])),
  };
}

type Model = (b: ArrayLike<number>, x: number, x2: number) => number;

const { exp, sin, cos, atan, PI } = Math;
const gauss2: Model = (b, x) =>
  b[0] * exp(-b[1] * x) + b[2] * exp(-((x - b[3]) ** 2) / b[4] ** 2) + b[5] * exp(-((x - b[6]) ** 2) / b[7] ** 2);
const lanczos: Model = (b, x) => b[0] * exp(-b[1] * x) + b[2] * exp(-b[3] * x) + b[4] * exp(-b[5] * x);
const cubics: Model = (b, x) => (b[0] + b[1] * x + b[2] * x ** 2 + b[3] * x ** 3) / (1 + b[4] * x + b[5] * x ** 2 + b[6] * x ** 3);
const saturation: Model = (b, x) => b[0] * (1 - exp(-b[1] * x));
const chwirut: Model = (b, x) => exp(-b[0] * x) / (b[1] + b[2] * x);

/** The models as the files print them. Nelson's response is log(y). */
export const STRD_MODELS: Readonly<Record<string, Model>> = {
  Bennett5: (b, x) => b[0] * (b[1] + x) ** (-1 / b[2]),
  BoxBOD: saturation,
  Chwirut1: chwirut,
  Chwirut2: chwirut,
  DanWood: (b, x) => b[0] * x ** b[1],
  ENSO: (b, x) =>
    b[0] +
    b[1] * cos((2 * PI * x) / 12) +
    b[2] * sin((2 * PI * x) / 12) +
    b[4] * cos((2 * PI * x) / b[3]) +
    b[5] * sin((2 * PI * x) / b[3]) +
    b[7] * cos((2 * PI * x) / b[6]) +
    b[8] * sin((2 * PI * x) / b[6]),
  Eckerle4: (b, x) => (b[0] / b[1]) * exp(-0.5 * ((x - b[2]) / b[1]) ** 2),
  Gauss1: gauss2,
  Gauss2: gauss2,
  Gauss3: gauss2,
  Hahn1: cubics,
  Kirby2: (b, x) => (b[0] + b[1] * x + b[2] * x ** 2) / (1 + b[3] * x + b[4] * x ** 2),
  Lanczos1: lanczos,
  Lanczos2: lanczos,
  Lanczos3: lanczos,
  MGH09: (b, x) => (b[0] * (x ** 2 + x * b[1])) / (x ** 2 + x * b[2] + b[3]),
  MGH10: (b, x) => b[0] * exp(b[1] / (x + b[2])),
  MGH17: (b, x) => b[0] + b[1] * exp(-x * b[3]) + b[2] * exp(-x * b[4]),
  Misra1a: saturation,
  Misra1b: (b, x) => b[0] * (1 - (1 + (b[1] * x) / 2) ** -2),
  Misra1c: (b, x) => b[0] * (1 - (1 + 2 * b[1] * x) ** -0.5),
  Misra1d: (b, x) => (b[0] * b[1] * x) / (1 + b[1] * x),
  Nelson: (b, x, x2) => b[0] - b[1] * x * exp(-b[2] * x2),
  Rat42: (b, x) => b[0] / (1 + exp(b[1] - b[2] * x)),
  Rat43: (b, x) => b[0] / (1 + exp(b[1] - b[2] * x)) ** (1 / b[3]),
  Roszman1: (b, x) => b[0] - b[1] * x - atan(b[2] / (x - b[3])) / PI,
  Thurber: cubics,
};
