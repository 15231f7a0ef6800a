// What `npm start` and `npm test` need before they can do their work, on a fresh clone with only Node and npm.
import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('..', import.meta.url));
const OLDEST = [20, 19];

export const say = (message) => process.stdout.write(`necksight: ${message}\n`);

/** Ends with a clear message where Node is too old. */
export function checkNode() {
  const [major, minor] = process.versions.node.split('.').map(Number);
  if (major > OLDEST[0] || (major === OLDEST[0] && minor >= OLDEST[1])) return;
  process.stderr.write(
    `necksight needs Node ${OLDEST.join('.')} or newer; this is Node ${process.versions.node}. Install a newer Node and run it again.\n`,
  );
  process.exit(2);
}

/** Installs from the lock file, unless what is installed is what the lock file says. */
export function ensureInstalled() {
  const reason = outdated();
  if (reason === undefined) return;
  say(`${reason}: installing from the lock file (npm ci)`);
  run('npm', ['ci', '--no-audit', '--no-fund'], 'the installation failed; see above');
}

export function build() {
  say('building dist/');
  run(process.execPath, ['.tools/build.mjs'], 'the build failed; see above');
}

/** Runs a command in the project's folder; ends with its exit code where it fails and `failure` is given. */
export function run(command, args, failure) {
  const { status, error } = spawnSync(command, args, {
    cwd: root,
    stdio: 'inherit',
    shell: process.platform === 'win32' && command === 'npm',
  });
  if (error !== undefined) process.stderr.write(`necksight: ${command} cannot be started: ${error.message}\n`);
  if (failure !== undefined && status !== 0) {
    process.stderr.write(`necksight: ${failure}\n`);
    process.exit(status ?? 1);
  }
  return status ?? 1;
}

/** Why an installation is needed; undefined where it is not. npm writes down beside the packages what it installed. */
function outdated() {
  const installedLock = `${root}node_modules/.package-lock.json`;
  if (!existsSync(installedLock)) return 'dependencies are not installed';
  const wanted = JSON.parse(readFileSync(`${root}package-lock.json`, 'utf8')).packages;
  const installed = JSON.parse(readFileSync(installedLock, 'utf8')).packages;
  // Optional packages are those of other platforms.
  const differs = Object.entries(wanted).some(
    ([path, { version, optional, link }]) => path !== '' && !optional && !link && installed[path]?.version !== version,
  );
  return differs ? 'dependencies differ from the lock file' : undefined;
}
