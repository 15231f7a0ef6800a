// `npm start`: sets up what is missing, then measures the sample scans and says where the report is.
import { build, checkNode, ensureInstalled, run, say } from './ensure-ready.mjs';

checkNode();
ensureInstalled();
build();
say('measuring sample-scans/ as pipelines/sample-survey.json says (necksight run pipelines/sample-survey.json)');
// A scan that is refused is part of the samples' lesson, not a failure of this command.
const FINISHED = [0, 1];
const status = run(process.execPath, ['dist/necksight.js', 'run', 'pipelines/sample-survey.json']);
process.exit(FINISHED.includes(status) ? 0 : status);
