import { name, version } from '../../package.json';

/** Put in place by the build: a hash of the sources, so that records of two builds of one version are told apart. */
declare const NECKSIGHT_BUILD: string | undefined;

/** What the record says about the program that made it. */
export const SOFTWARE: Software = { name, version, build: typeof NECKSIGHT_BUILD === 'string' ? NECKSIGHT_BUILD : 'sources' };

export interface Software {
  readonly name: string;
  readonly version: string;
  /** Which sources it was built from. */
  readonly build: string;
}
