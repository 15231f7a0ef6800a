const PATTERN = /^(\d{4})(?:-(\d{2})(?:-(\d{2})(?:T\d{2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?:Z|[+-]\d{2}:\d{2})?)?)?)?$/;

/** Milliseconds since 1970 of an ISO 8601 date (year, month, day or time), taken as UTC where no zone is given; undefined where it is none. */
export function isoDate(text: string): number | undefined {
  const match = PATTERN.exec(text);
  if (match === null) return undefined;
  const [, year, month = '01', day = '01'] = match;
  const midnight = new Date(`${year}-${month}-${day}T00:00:00Z`);
  // 31 February rolls over into March instead of failing.
  if (Number.isNaN(midnight.getTime()) || midnight.getUTCDate() !== Number(day)) return undefined;
  if (!text.includes('T')) return midnight.getTime();
  const time = Date.parse(/(?:Z|[+-]\d{2}:\d{2})$/.test(text) ? text : `${text}Z`);
  return Number.isNaN(time) ? undefined : time;
}
