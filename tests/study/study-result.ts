/** One measurand of one scan: truth, and what the record says. */
export interface Score {
  readonly id: string;
  /** At the record's own bridge station, where it hangs on one. */
  readonly truth: number;
  readonly uTruth: number;
  /** What the scan supports; unknown for secondary measurands. */
  readonly supported?: boolean;
  /** 95th percentile of the floor fit's error on this scan. */
  readonly floor?: number;
  readonly given?: GivenValue;
  /** Why the record has no value. */
  readonly absent?: string;
}

export interface GivenValue {
  readonly value: number;
  readonly u: number;
  readonly U95: number;
  /** Ends of an interval that is not symmetrical. */
  readonly low?: number;
  readonly high?: number;
  readonly quality: 'good' | 'fair' | 'poor';
  readonly basis: string;
}

/** What is kept of one scan of the study: one line of the results file. */
export interface StudyResult {
  readonly key: string;
  readonly group: string;
  readonly model: string;
  readonly points: number;
  readonly triangles: number;
  /** Time on the processor for making, reading and measuring, s. */
  readonly seconds: { readonly make: number; readonly read: number; readonly measure: number };
  /** The scan was refused, or a fault of the program showed (`fault`). */
  readonly failed?: { readonly code: string; readonly message: string };
  /** Rotation of the found frame against the true one, degrees, and the distance of their origins, mm. */
  readonly frame?: { readonly rotation: number; readonly origin: number };
  /** True body length, mm. */
  readonly bodyLength: number;
  /** What was found wrong: class or unit that are not the scan's. */
  readonly mistaken: readonly string[];
  /** Another source of the bridge station than the scan shows: `bridge instead of notches`. */
  readonly otherStation?: string;
  readonly scores: readonly Score[];
}
