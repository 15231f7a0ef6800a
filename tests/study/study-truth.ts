/** What both models tell of a scan, in the form of the definitions: mm, degrees. */
export interface StudyTruth {
  readonly class: string;
  readonly unit: string;
  /** Where the bridge station comes from: the first that the scan shows of notches, bridge, usual ratio. */
  readonly stopSource: string;
  readonly values: Readonly<Record<string, number>>;
  readonly secondary: Readonly<Record<string, number>>;
  /** How well the truth itself is known, standard. */
  readonly uTruth: Readonly<Record<string, number>>;
  /** What the scan supports, by the model's own floor fit. */
  readonly measurable: Readonly<Record<string, boolean>>;
  /** 95th percentile of the floor fit's error, where the model tells it. */
  readonly floor: Readonly<Record<string, number>>;
  /** Scan coordinates in the scan's unit to the instrument frame, mm: row-major 4 × 4. */
  readonly frame: readonly number[];
  readonly profiles: {
    /** z of the board line at x = 0, and its slope. */
    readonly boardLine: { readonly z0: number; readonly slope: number };
    /** The top's surface on the centreline: x, z, in steps along x. */
    readonly topCentre: readonly (readonly [number, number])[];
  };
}

/** A scan as the bytes of a PLY file, with its truth. */
export interface ModelledScan {
  readonly bytes: Uint8Array;
  readonly truth: StudyTruth;
}
