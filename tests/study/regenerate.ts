/**
 * Writes a scan of the study again, with its truth beside it:
 *   npx tsx tests/study/regenerate.ts KEY OUT.ply
 */
import { writeFileSync } from 'node:fs';
import { MODELLED } from './models.ts';
import { studyPlan } from './plan.ts';

const [key, out] = process.argv.slice(2);
if (key === undefined || out === undefined) throw new Error('say which scan and where it goes: regenerate.ts KEY OUT.ply');
const entry = studyPlan().find((e) => e.key === key);
if (entry === undefined) throw new Error(`the study has no scan "${key}"; keys are group, model and number, such as ordinary-a-017`);
const { bytes, truth } = MODELLED[entry.model](entry);
writeFileSync(out, bytes);
const beside = out.replace(/\.ply$/, '').concat('.truth.json');
writeFileSync(beside, `${JSON.stringify({ scan: out, ...truth }, null, 1)}\n`);
process.stdout.write(`${out} (${entry.form}, ${entry.unit}), ${beside}\n`);
