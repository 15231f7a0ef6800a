/** The oldest Node that is tested. */
const OLDEST = [20, 19] as const;

/** What to tell a user whose Node is too old; undefined where it is not. */
export function nodeVersionProblem(version: string): string | undefined {
  const [major = 0, minor = 0] = version.split('.').map(Number);
  const enough = major > OLDEST[0] || (major === OLDEST[0] && minor >= OLDEST[1]);
  return enough
    ? undefined
    : `necksight needs Node ${OLDEST.join('.')} or newer; this is Node ${version}. Install a newer Node and run it again.`;
}
