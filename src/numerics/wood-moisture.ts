/** Temperature of a heated room, °C, where none is stated; ten degrees more or less change the moisture by 0.3 %. */
export const ROOM_TEMPERATURE = 21;

/**
 * Equilibrium moisture content of wood in air, % of its dry mass: the Hailwood–Horrobin equation as fitted in the Wood Handbook.
 *
 * @param humidity  relative humidity, %, 0 to 100
 * @param temperature  °C
 * @see USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190 (2010), chapter 4 (coefficients from memory, held against its table)
 */
export function equilibriumMoisture(humidity: number, temperature: number = ROOM_TEMPERATURE): number {
  if (!(humidity >= 0 && humidity <= 100)) throw new RangeError(`a relative humidity lies between 0 and 100 %, not at ${humidity}`);
  const h = humidity / 100;
  const t = 32 + 1.8 * temperature;
  const w = 330 + 0.452 * t + 0.00415 * t * t;
  const k = 0.791 + 0.000463 * t - 0.000000844 * t * t;
  const k1 = 6.34 + 0.000775 * t - 0.0000935 * t * t;
  const k2 = 1.09 + 0.0284 * t - 0.0000904 * t * t;
  const kh = k * h;
  return (1800 / w) * (kh / (1 - kh) + (k1 * kh + 2 * k1 * k2 * kh * kh) / (1 + k1 * kh + k1 * k2 * kh * kh));
}

/**
 * Change of a dimension of maple for each per cent of moisture between 6 and 14 %, share of the dimension, along the rays and along the rings (sugar maple; the maples of instruments move
 * by less rather than more).
 *
 * @see FPL-GTR-190, table 13-5
 */
export const MAPLE_PER_PERCENT = { radial: 0.00165, tangential: 0.00353 } as const;
