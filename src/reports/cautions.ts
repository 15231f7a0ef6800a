/** The usual cautions for scanning, in one line for pages and help; the README lists them in full. */
export const CAUTION =
  'Before you scan: mind the laser class and eyes, put no matting spray and no stick-on targets on varnish, keep hot lamps away, never hold an instrument by its neck, do not slacken the strings just for a scan (the soundpost may fall), and leave a historical instrument to its conservator. A scan shows no hidden damage.';
