import { serveTasks } from '../../src/batch/serve-tasks.ts';
import { modelComparing } from './model-comparing.ts';
import { modelMeasuring } from './model-measuring.ts';

serveTasks(modelMeasuring, async () => modelComparing);
