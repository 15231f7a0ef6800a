/** The usual cautions for scanning, in one line for pages and help; the README lists them in full. */
export const CAUTION =
  'Before you scan: mind the laser class and eyes, put no matting spray and no stick-on targets on varnish, keep hot lamps away, never hold an instrument by its neck, do not slacken the strings just for a scan (the soundpost may fall), and leave a historical instrument to its conservator. A scan shows no hidden damage.';

/** Of repeat scans: string tension is part of what is measured, and taking it off is not for everybody. */
export const STRINGS_CAUTION =
  'Scan each time in the same state: strings at pitch or not, and the air as dry or as damp, move a neck by tenths of a millimetre. Slackening the strings may let the soundpost fall and the bridge with it: leave it, and any decision on the neck, to a restorer.';
