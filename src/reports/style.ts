/** The look of all pages: one column of text, wide tables and drawings that scroll sideways on small screens, ink on paper in print. */
export const STYLE = `
:root {
  --paper: #fcfbf9; --ink: #22201d; --soft: #68635b; --line: #d9d4cb; --panel: #f4f1eb;
  --accent: #8a3b12; --measure: #0f5e78; --surface: #8b857a; --band: #dfe9e4; --alert: #9c1c1c;
}
@media (prefers-color-scheme: dark) {
  :root {
    --paper: #191816; --ink: #ece8e1; --soft: #a9a297; --line: #3a3733; --panel: #22201e;
    --accent: #eda06f; --measure: #7cc3dc; --surface: #8f887c; --band: #263530; --alert: #ff9c8f;
  }
}
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 1.5rem clamp(1rem, 4vw, 3rem) 3rem; max-width: 84rem; background: var(--paper); color: var(--ink);
  font: 1rem/1.5 system-ui, sans-serif; }
h1 { font-size: 1.75rem; line-height: 1.2; margin: 0.25rem 0 0.5rem; overflow-wrap: anywhere; }
h2 { font-size: 1.2rem; margin: 2.5rem 0 0.75rem; padding-top: 0.75rem; border-top: 1px solid var(--line); }
h3 { font-size: 1rem; margin: 1.5rem 0 0.5rem; }
p, dl, ul, ol { max-width: 46rem; }
a { color: var(--accent); text-underline-offset: 0.15em; }
a:focus-visible, summary:focus-visible, .wide:focus-visible { outline: 2px solid var(--accent); outline-offset: 2px; }
.lead, .note, footer { color: var(--soft); }
.lead { margin: 0; }
.note { font-size: 0.875rem; }
footer { margin-top: 3rem; border-top: 1px solid var(--line); font-size: 0.875rem; }
.wide { overflow-x: auto; margin: 0 0 1rem; }
table { border-collapse: collapse; font-size: 0.9rem; font-variant-numeric: tabular-nums; }
caption { text-align: left; color: var(--soft); padding-bottom: 0.5rem; font-size: 0.875rem; }
caption span { display: block; position: sticky; left: 0; max-width: min(46rem, 90vw); }
th, td { padding: 0.35rem 0.75rem; text-align: left; vertical-align: baseline; border-bottom: 1px solid var(--line); }
thead th { font-weight: 600; vertical-align: bottom; border-bottom: 2px solid var(--ink); }
.survey { font-size: 0.82rem; }
.survey th, .survey td { padding-inline: 0.4rem; }
.survey thead th.number { white-space: normal; max-width: 8rem; }
.survey th:first-child { padding-left: 0; }
thead .unit { display: block; font-weight: 400; color: var(--soft); }
tbody th { font-weight: 500; overflow-wrap: anywhere; min-width: 6.5rem; }
tr.group th { padding-top: 1.25rem; font-weight: 600; }
td.number, th.number { text-align: right; white-space: nowrap; }
td .pm { color: var(--soft); }
.survey tbody tr:not(.group) > th:first-child, .survey thead th:first-child { position: sticky; left: 0; background: var(--paper); min-width: 7rem; max-width: 14rem; z-index: 1; }
time { white-space: nowrap; }
.survey .date { display: block; white-space: nowrap; font-weight: 400; color: var(--soft); font-size: 0.8rem; }
.tag { font-size: 0.75rem; border: 1px solid currentColor; border-radius: 0.2rem; padding: 0 0.25rem; margin-left: 0.35rem; white-space: nowrap; color: var(--soft); }
td.number .tag { display: block; width: fit-content; margin: 0.15rem 0 0 auto; }
.tag.poor, .tag.out { color: var(--alert); }
.tag.poor { border-style: dashed; }
.absent { color: var(--soft); }
.failed { color: var(--alert); }
figure { margin: 0 0 1.5rem; padding: 1rem; background: var(--panel); border: 1px solid var(--line); border-radius: 0.25rem; }
figcaption { color: var(--soft); font-size: 0.875rem; margin-top: 0.5rem; max-width: 46rem; }
figure svg { display: block; width: 100%; height: auto; min-width: 44rem; }
.strips { display: grid; grid-template-columns: repeat(auto-fill, minmax(min(100%, 24rem), 1fr)); gap: 1rem; }
.strips figure { margin: 0; }
.strips h3 { margin: 0 0 0.25rem; }
.strips svg { min-width: 0; }
dl.facts { display: grid; grid-template-columns: max-content 1fr; gap: 0.2rem 1.25rem; margin: 0; }
dl.facts dt { color: var(--soft); }
dl.facts dd { margin: 0; overflow-wrap: anywhere; }
dl.glossary dt { font-weight: 600; margin-top: 0.6rem; }
dl.glossary dd { margin: 0; }
dl.glossary .unit, code { font-size: 0.85em; color: var(--soft); font-weight: 400; }
svg text { font-family: system-ui, sans-serif; fill: var(--ink); paint-order: stroke; stroke: var(--panel); stroke-width: 0.35em; stroke-linejoin: round; }
svg .soft { fill: var(--soft); }
svg .surface { fill: none; stroke: var(--surface); stroke-linecap: round; stroke-linejoin: round; }
svg .cloud { fill: none; stroke: var(--surface); stroke-linecap: round; opacity: 0.45; }
svg .datum { fill: none; stroke: var(--ink); }
svg .axis { fill: none; stroke: var(--soft); }
svg .found { fill: none; stroke: var(--accent); stroke-linejoin: round; }
svg .dimension { fill: none; stroke: var(--measure); }
svg .arrow { fill: var(--measure); stroke: none; }
svg .figure { fill: var(--measure); font-weight: 600; }
svg .band { fill: var(--band); stroke: none; }
svg .limit { fill: none; stroke: var(--alert); }
svg .dot { fill: var(--measure); stroke: var(--panel); }
svg .dot.fair { fill: var(--panel); stroke: var(--measure); }
svg .bar { stroke: var(--measure); opacity: 0.55; }
svg .median { stroke: var(--accent); }
@media print {
  :root { --paper: #fff; --ink: #000; --soft: #444; --line: #bbb; --panel: #fff; --accent: #000; --measure: #000; --surface: #777; --band: #eee; --alert: #000; }
  body { max-width: none; padding: 0; font-size: 9pt; }
  .wide { overflow: visible; }
  figure svg { min-width: 0; }
  .survey tbody tr:not(.group) > th:first-child, .survey thead th:first-child { position: static; }
  figure, tr, .strips figure { break-inside: avoid; }
  h2, h3 { break-after: avoid; }
}
`;
