import type { ScanRecord } from '../records/record.ts';

/** What people call a scan's instrument. */
export const instrumentName = (record: ScanRecord): string => record.catalogue?.label ?? record.instrument ?? record.scan;

/** The same with the date, where there is one. */
export const scanName = (record: ScanRecord): string =>
  record.date === undefined ? instrumentName(record) : `${instrumentName(record)}, ${record.date}`;
