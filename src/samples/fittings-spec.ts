/** Bridge, strings, tailpiece; mm. */
export interface FittingsSpec {
  /** Crown of the bridge over the board line at the bridge. */
  readonly crownOverBoard: number;
  readonly bridgeThickness: number;
  readonly bridgeWidth: number;
  readonly bridgeLean: number;
  /** x of the bridge's feet against the mean of the notches. */
  readonly bridgeShift: number;
  readonly stringSpanNut: number;
  readonly stringSpanBridge: number;
  readonly stringRadii: readonly number[];
  readonly tailpieceLength: number;
  readonly tailpieceWidth: number;
  readonly chinRest: 'none' | 'bass-side';
}
