#include "html_style.h"

namespace rimeglow {

const std::string_view kReportStyle = R"css(
:root {
  --page: #0a0d11; --sheet: #10151b; --line: #26313b; --ink: #dfe6ec; --soft: #9fb0bd;
  --frost: #cfeaf5; --glow: #8fc7dd;
}
* { box-sizing: border-box; }
html { background: var(--page); color: var(--ink); }
body {
  margin: 0 auto; max-width: 76rem; padding: 3rem 1.5rem 4rem;
  font: 1rem/1.55 system-ui, -apple-system, "Segoe UI", "DejaVu Sans", sans-serif;
}
h1 { font-size: 2.3rem; font-weight: 300; letter-spacing: 0.01em; line-height: 1.2; margin: 0; }
h2 { font-size: 1.2rem; font-weight: 500; color: var(--frost); margin: 3rem 0 1rem; }
ul { padding-left: 1.2rem; max-width: 46rem; }
li { margin: 0.35rem 0; }
h3 { font-size: 1rem; font-weight: 600; margin: 0; }
p { margin: 0.4rem 0; max-width: 46rem; }
header p { color: var(--soft); }
header .kind { color: var(--glow); margin: 0 0 0.3rem; }
header::after, footer::before {
  content: ""; display: block; height: 2px; margin: 1.6rem 0 0; border-radius: 1px;
  background: linear-gradient(90deg, #f4fbff, var(--glow) 30%, transparent);
  filter: drop-shadow(0 0 7px rgba(143, 199, 221, 0.7));
}
footer::before { margin: 3rem 0 1.5rem; background: var(--line); filter: none; height: 1px; }
footer { color: var(--soft); font-size: 0.9rem; }
.verdicts { list-style: none; margin: 0; padding: 0; max-width: none; display: grid; gap: 1rem;
  grid-template-columns: repeat(auto-fit, minmax(min(100%, 28rem), 1fr)); }
.verdicts li { background: var(--sheet); border: 1px solid var(--line); border-radius: 8px;
  border-bottom: 2px solid var(--glow); padding: 1.1rem 1.3rem; margin: 0; }
.verdicts h3 { display: flex; align-items: baseline; justify-content: space-between; gap: 1rem; }
.level { font-weight: 500; font-size: 0.85rem; color: var(--soft); white-space: nowrap; }
.level b { display: inline-block; width: 1.5em; text-align: center; color: var(--page);
  background: var(--soft); border-radius: 50%; margin-right: 0.35em; line-height: 1.5; }
.good .level b { background: #a8dcae; }
.fair .level b { background: #f0d894; }
.poor .level b { background: #f3a994; }
.pictures { display: grid; gap: 1.5rem;
  grid-template-columns: repeat(auto-fit, minmax(min(100%, 28rem), 1fr)); }
figure { margin: 0; }
figure img { display: block; width: 100%; height: auto; border-radius: 8px;
  border: 1px solid var(--line); }
figcaption { color: var(--soft); font-size: 0.92rem; margin-top: 0.6rem; max-width: 46rem; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; font-variant-numeric: tabular-nums; margin: 0 0 1rem; }
caption { text-align: left; color: var(--soft); font-size: 0.92rem; padding-bottom: 0.5rem; }
th, td { padding: 0.4rem 1rem 0.4rem 0; text-align: left; vertical-align: top;
  border-bottom: 1px solid var(--line); }
th { font-weight: 500; }
tbody th { min-width: 9rem; }
thead th { color: var(--soft); font-size: 0.88rem; }
td.number, th.number { text-align: right; white-space: nowrap; }
td small, .untold { color: var(--soft); }
.telling { font-weight: 600; }
.patches td { text-align: center; min-width: 5rem; padding: 0.7rem 0.5rem;
  border: 1px solid var(--line); }
.share { width: 14rem; }
.share i { display: block; height: 0.7rem; margin-top: 0.4rem; min-width: 1px; border-radius: 2px;
  background: linear-gradient(90deg, var(--frost), var(--glow)); }
svg { display: block; width: 100%; max-width: 46rem; height: auto; }
svg text { fill: var(--soft); font-size: 12px; font-family: inherit; }
svg .bar { fill: var(--glow); }
svg .error { stroke: var(--ink); stroke-width: 1.5; }
svg .grid { stroke: var(--line); stroke-width: 1; }
svg .mark { stroke: var(--soft); stroke-width: 1; stroke-dasharray: 2 3; }
svg .curve { fill: none; stroke: var(--glow); stroke-width: 2; }
svg .band { fill: var(--glow); fill-opacity: 0.25; }
dl { display: grid; grid-template-columns: minmax(9rem, max-content) 1fr; gap: 0.35rem 1.5rem;
  margin: 0; }
dt { color: var(--soft); }
dd { margin: 0; overflow-wrap: anywhere; }
.cautions { border: 1px solid #b98c3c; border-radius: 8px; padding: 0.2rem 1.4rem 1rem;
  margin-top: 3rem; }
.cautions h2 { margin-top: 1rem; color: #f0d894; }
details summary { cursor: pointer; color: var(--glow); margin: 0.5rem 0; }
summary:focus-visible { outline: 2px solid var(--frost); outline-offset: 3px; }
@page { margin: 15mm; }
@media print {
  :root { --page: #fff; --sheet: #fff; --line: #999; --ink: #000; --soft: #000; --frost: #000;
    --glow: #000; }
  body { max-width: none; padding: 0; font-size: 10pt; }
  h1 { font-size: 20pt; } h2 { font-size: 12pt; margin: 16pt 0 6pt; break-after: avoid; }
  header::after { background: #000; filter: none; height: 1px; margin-top: 8pt; }
  .verdicts { grid-template-columns: 1fr 1fr; gap: 8pt; }
  .verdicts li, .cautions { border: 1px solid #000; padding: 6pt 9pt; }
  .cautions { margin-top: 14pt; }
  .verdicts .level b { background: #fff; color: #000; border: 1px solid #000; }
  .pictures { grid-template-columns: 1fr 1fr; gap: 10pt; }
  figure, table, svg, dl, .verdicts li, .cautions { break-inside: avoid; }
  figure img { border: 1px solid #000; border-radius: 0; }
  svg { max-width: 130mm; } svg .bar { fill: #777; } .share i { background: #777; }
  th, td { padding-top: 2pt; padding-bottom: 2pt; }
  .wide { overflow: visible; }
  .wide th, .wide td { padding-right: 5pt; font-size: 8pt; }
  td.number, th.number { white-space: normal; }
  tbody th { min-width: 0; }
  .patches td { background: none !important; padding: 4pt; }
  .cautions h2 { color: #000; margin-top: 4pt; }
  details { display: none; }
}
)css";

}  // namespace rimeglow
