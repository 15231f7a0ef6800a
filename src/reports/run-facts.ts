import type { RunFile } from '../records/run-file.ts';
import { type Html, html } from './html.ts';

/** What ran, for the foot of a page. */
export const runFacts = (run: RunFile): Html => html`<dl class="facts">
<dt>Pipeline</dt><dd>${run.pipeline.file} <code>sha256 ${run.pipeline.sha256.slice(0, 12)}…</code></dd>
<dt>Catalogue</dt><dd>${run.catalogue.file} <code>sha256 ${run.catalogue.sha256.slice(0, 12)}…</code></dd>
<dt>Scans</dt><dd>${run.scans.asked} asked for, ${run.scans.measured} measured in this run, ${run.scans.reused} kept from an earlier one, ${run.scans.failed} failed</dd>
<dt>Program</dt><dd>${run.software.name} ${run.software.version} (build ${run.software.build}), Node ${run.node}, ${run.jobs} at a time</dd>
<dt>Time</dt><dd>${run.startedAt} to ${run.finishedAt}</dd>
</dl>
<p class="note"><a href="run.json">run.json</a> has it all, with the hash of every scan.</p>`;
