import { serveTasks } from '../../src/batch/serve-tasks.ts';
import { modelMeasuring } from './model-measuring.ts';

serveTasks(modelMeasuring);
