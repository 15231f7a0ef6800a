// `npm test`: sets up what is missing, then runs the tests that need nothing but Node. Arguments go to vitest.
import { build, checkNode, ensureInstalled, run, say } from './ensure-ready.mjs';

checkNode();
ensureInstalled();
build();
say('running the tests (vitest)');
process.exit(run(process.execPath, ['node_modules/vitest/vitest.mjs', 'run', ...process.argv.slice(2)]));
