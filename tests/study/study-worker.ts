import { MODELLED } from './models.ts';
import type { PlanEntry } from './plan.ts';
import { studyScan } from './study-scan.ts';

// One scan after the other, as the parent sends them.
process.on('message', (entry: PlanEntry) => {
  void studyScan(entry, MODELLED[entry.model]).then((result) => process.send?.(result));
});
process.on('disconnect', () => process.exit(0));
