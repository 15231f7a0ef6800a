#!/usr/bin/env node
import { nodeVersionProblem } from './node-version.ts';

/** The worker process lies beside this file, wherever the rest is bundled to. */
const WORKER = new URL('./worker.js', import.meta.url);

// Nothing else is imported before the version is known: newer syntax would fail with a message that helps nobody.
const problem = nodeVersionProblem(process.versions.node);
if (problem === undefined) {
  import('./start.ts').then(({ start }) => start(process.argv.slice(2), WORKER));
} else {
  process.stderr.write(`${problem}\n`);
  process.exitCode = 2;
}
