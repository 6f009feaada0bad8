#include "sim/report/record_page.h"

namespace cornerbench::report {

const char* const record_style = R"css(
:root { color: #111; background: #fff; font: 16px/1.45 "DejaVu Sans", Verdana, Arial, sans-serif; }
body { margin: 0 auto; max-width: 60rem; padding: 1rem; }
main { min-width: 0; }
h1 { font-size: 1.6rem; margin: 0 0 .25rem; }
h2 { font-size: 1.2rem; margin: 1.75rem 0 .5rem; border-bottom: 2px solid #111; padding-bottom: .15rem; }
h3 { font-size: 1rem; margin: 1.25rem 0 .25rem; }
p { margin: .4rem 0; max-width: 46rem; }
.verdict { border: 3px solid #111; padding: .5rem 1rem; margin: 1rem 0; font-size: 1.15rem; max-width: 46rem; }
.simulated { border: 3px dashed #111; padding: .5rem 1rem; max-width: 46rem; }
.verdict strong { text-transform: uppercase; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: .15rem 1rem; margin: .75rem 0; }
dt { font-weight: bold; }
dd { margin: 0; overflow-wrap: anywhere; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; font-size: .875rem; }
caption { text-align: left; font-weight: bold; padding: .25rem 0; }
th, td { border-bottom: 1px solid #666; padding: .25rem .5rem; text-align: left; vertical-align: top; }
thead th { border-bottom: 2px solid #111; }
td.n, th.n { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
td.v { white-space: nowrap; }
tr.fails td, tr.fails th { font-weight: bold; }
figure { margin: .75rem 0; }
figcaption { font-size: .875rem; }
svg { display: block; width: 100%; height: auto; max-width: 52rem; }
ul { padding-left: 1.25rem; max-width: 46rem; }
.signature { display: grid; grid-template-columns: 1fr 1fr; gap: 2.5rem 2rem; margin-top: 3rem; max-width: 46rem; }
.signature div { border-top: 1px solid #111; padding-top: .25rem; font-size: .875rem; }
@media (max-width: 40rem) {
  :root { font-size: 15px; }
  body { padding: .75rem; }
  th, td { padding: .25rem .3rem; }
  .wide svg { min-width: 36rem; }
  dl { grid-template-columns: 1fr; gap: 0; }
  dd { margin-bottom: .4rem; }
}
@media print {
  :root { font-size: 10.5pt; }
  body { max-width: none; padding: 0; }
  .wide { overflow: visible; }
  h2, h3, caption { break-after: avoid; }
  tr, figure, .verdict, .simulated, .signature { break-inside: avoid; }
  thead { display: table-header-group; }
  .short { break-inside: avoid; }
  .wide svg { max-width: 100%; min-width: 0; }
  a { color: #111; text-decoration: none; }
}
)css";

}  // namespace cornerbench::report
