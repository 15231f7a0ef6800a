#!/usr/bin/env node
import { setFlagsFromString } from 'node:v8';
import { nodeVersionProblem } from './node-version.ts';

/** The worker process lies beside this file, wherever the rest is bundled to. */
const WORKER = new URL('./worker.js', import.meta.url);

/**
 * Node 20 has no quick optimising compiler between baseline code and its slow, thorough one: half the time of a single scan went into compiling what soon was done with. There
 * a function has to run longer before it is compiled so (in V8's budget, whose own value is 67584). Later versions have one.
 */
const NODE_WITH_ONE_COMPILER = '20.';
const LONGER_RUN = 1_000_000;
if (process.versions.node.startsWith(NODE_WITH_ONE_COMPILER)) setFlagsFromString(`--interrupt-budget=${LONGER_RUN}`);

// Nothing else is imported before the version is known: newer syntax would fail with a message that helps nobody.
const problem = nodeVersionProblem(process.versions.node);
if (problem === undefined) {
  import('./start.ts').then(({ start }) => start(process.argv.slice(2), WORKER));
} else {
  process.stderr.write(`${problem}\n`);
  process.exitCode = 2;
}
