#!/usr/bin/env node
import { nodeVersionProblem } from './node-version.ts';

// Nothing else is imported before the version is known: newer syntax would fail with a message that helps nobody.
const problem = nodeVersionProblem(process.versions.node);
if (problem === undefined) {
  import('./start.ts').then(({ start }) => start(process.argv.slice(2)));
} else {
  process.stderr.write(`${problem}\n`);
  process.exitCode = 2;
}
