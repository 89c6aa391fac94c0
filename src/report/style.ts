/** The look of a report: one sheet of paper, titles in the margin, hairlines; the same on screen, on a phone, in print. */
import { declarations } from './colors.ts';

export const STYLE = `
:root{color-scheme:light dark;${declarations('day')};--text:system-ui,-apple-system,"Segoe UI","Liberation Sans","DejaVu Sans",sans-serif}
@media (prefers-color-scheme:dark){:root{${declarations('night')}}}
@media print{:root{color-scheme:light;${declarations('day')};--ground:#fff;--paper:#fff}}
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%;print-color-adjust:exact;-webkit-print-color-adjust:exact}
body{margin:0;background:var(--ground);color:var(--ink);font:400 15px/1.45 var(--text);font-variant-numeric:tabular-nums}
ul{list-style:none}
main{max-width:75rem;margin:1.5rem auto;background:var(--paper);border:1px solid var(--rule);padding:0 2.25rem 2rem}
h1,h2,h3,p,ul,ol,figure,dl,dd{margin:0;padding:0}
h1{font-size:1.55rem;line-height:1.2;font-weight:650;letter-spacing:-.01em;overflow-wrap:anywhere}
h2{font-size:1rem;line-height:1.3;font-weight:650}
h3{font-size:1rem;font-weight:650;overflow-wrap:anywhere}
a{color:var(--a);text-underline-offset:.15em}
code{font:.86em/1.4 ui-monospace,"Liberation Mono","DejaVu Sans Mono",monospace;overflow-wrap:anywhere}
.unseen{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%);white-space:nowrap}
.soft{color:var(--ink2)}.small{font-size:.86rem}.nowrap{white-space:nowrap}.any{overflow-wrap:anywhere}
header{padding:1.4rem 0 1.5rem}
.made{display:flex;flex-wrap:wrap;justify-content:space-between;gap:.2rem 2rem;font-size:.86rem;color:var(--ink2);margin-bottom:1.1rem}
.verdict{display:grid;grid-template-columns:auto minmax(0,1fr);gap:0 1.25rem;align-items:center}
.verdict>.seal{width:5.2rem;height:5.2rem;font-size:3.3rem;border-width:3px;border-radius:6px}
.verdict p.word{font-size:2.3rem;line-height:1.1;font-weight:700;letter-spacing:-.02em}
.verdict p.say{font-size:1.05rem;max-width:60rem;overflow-wrap:anywhere}
h1{margin-top:1.1rem}
.facts{display:flex;flex-wrap:wrap;border:solid var(--rule);border-width:1px 0 0 1px;margin-top:1.1rem}
.facts>div{flex:1 1 9.5rem;border:solid var(--rule);border-width:0 1px 1px 0;padding:.5rem .75rem .6rem}
.facts dt{font-size:.8rem;color:var(--ink2)}
.facts dd{font-size:1.15rem;font-weight:600;line-height:1.25;overflow-wrap:anywhere}
.facts dd small{display:block;font-size:.8rem;font-weight:400;color:var(--ink2)}
.facts .bad{box-shadow:inset 4px 0 0 var(--fail)}
nav{border-top:1px solid var(--rule);padding:.55rem 0;font-size:.92rem}
nav ul{display:flex;flex-wrap:wrap;gap:.2rem 1.3rem;list-style:none}
section{display:grid;grid-template-columns:11.5rem minmax(0,1fr);gap:.5rem 1.75rem;border-top:1px solid var(--edge);padding:1.1rem 0 1.7rem}
section>.side p{font-size:.84rem;line-height:1.4;color:var(--ink2);margin-top:.35rem}
section>.body{min-width:0}
section>.body>*+*{margin-top:1.1rem}
.run+.run{border-top:1px solid var(--rule);padding-top:1.1rem}
.run>h3{display:flex;flex-wrap:wrap;gap:.6rem;align-items:center}
.run>*+*{margin-top:.55rem}
.chip{position:relative;display:inline-grid;place-items:center;flex:none;width:1.6em;height:1.6em;line-height:1;font-weight:700;border:2px solid;border-radius:3px;color:var(--ink);background:var(--paper);vertical-align:middle}
.chip.p{border-color:var(--c);background:color-mix(in srgb,var(--c) 16%,var(--paper))}
.chip.f{border-color:var(--fail);background:var(--fail);color:var(--paper)}
.chip.n{border:2px dashed var(--edge)}
.chip.i{border:2px dotted var(--i);background:color-mix(in srgb,var(--i) 16%,var(--paper))}
.chip.l{border:4px double var(--b);background:color-mix(in srgb,var(--b) 14%,var(--paper))}
.legend{display:flex;flex-wrap:wrap;gap:.35rem 1.2rem;font-size:.84rem;color:var(--ink2);list-style:none;margin-top:.8rem}
.legend li{display:flex;gap:.45rem;align-items:center}
table{border-collapse:collapse;width:100%;font-size:.92rem}
caption{text-align:left;font-size:.84rem;color:var(--ink2);padding-bottom:.35rem}
th,td{text-align:left;vertical-align:top;padding:.36rem .7rem .36rem 0;border-bottom:1px solid var(--rule);font-weight:400}
thead th{font-size:.8rem;color:var(--ink2);border-bottom-color:var(--edge);vertical-align:bottom}
thead th.num{text-align:right}
td.num,th.num{text-align:right;white-space:nowrap}
tbody th{overflow-wrap:anywhere}
tr:last-child>*{border-bottom-color:transparent}
th.cell,td.cell{width:2.4rem;padding-right:.6rem}
.bar{display:block;width:7.5rem;height:1rem;margin-top:.18rem}
td.bars,th.bars{padding-left:.5rem}
.bar .track{stroke:var(--rule);stroke-width:1}.bar .limit{stroke:var(--ink);stroke-width:1.6}
.bar .room{fill:var(--c)}.bar .miss{fill:var(--fail)}.bar .was{fill:var(--paper);stroke:var(--ink);stroke-width:1.2}
.arrow{width:.72em;height:.72em;margin-right:.35em;fill:currentColor}.move{white-space:nowrap}.move.worse{font-weight:650;color:var(--fail)}.move.better{color:var(--ink)}
.matrix{width:auto}.matrix td{text-align:center;min-width:5.5rem;padding:.3rem;border:1px solid var(--rule)}.matrix th{padding:.35rem .6rem .35rem 0;border:0}
.matrix thead th{text-align:center;padding:.3rem}.matrix thead th:first-child{text-align:left;padding-left:0}
.matrix td small{display:block;font-size:.78rem;color:var(--ink2);margin-top:.1rem}
.scroll{position:relative;overflow-x:auto}
.plots{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,23rem),1fr));gap:.9rem 1.4rem}
.plots figcaption{font-size:.88rem;font-weight:600;padding-left:.2rem}
.plots figcaption span{font-weight:400;color:var(--ink2)}
svg.plot{display:block;width:100%;height:auto;font:11.5px var(--text)}
svg text{fill:var(--ink2);font-variant-numeric:tabular-nums}svg .strong{fill:var(--ink);font-weight:650}
.end{text-anchor:end}.middle{text-anchor:middle}
.rule{stroke:var(--rule);fill:none}.zero,.edge{stroke:var(--edge);fill:none}
.press{fill:color-mix(in srgb,var(--envelope) 55%,var(--paper))}
.line{fill:none;stroke-width:1.5;stroke-linejoin:round}.band{stroke-width:.5;stroke-opacity:.7;fill-opacity:.2}
.line.a,.band.a{stroke:var(--a)}.band.a{fill:var(--a)}
.hatch{stroke:var(--fail);stroke-width:1.6;stroke-opacity:.75}
.limitline{stroke:var(--fail);stroke-width:1.6;fill:none}.limitline.reach{stroke-dasharray:7 3}
.fault{fill:var(--b);stroke:var(--b);stroke-width:1.5}.faultline{stroke:var(--b);stroke-dasharray:3 3;fill:none}
.gap{fill:color-mix(in srgb,var(--ink) 16%,var(--paper))}.asked{stroke:var(--ink);stroke-width:2;fill:none}.ruler{max-width:34rem}
.histogram{display:block;width:10rem;max-width:100%;height:1.5rem}.histogram .track{stroke:var(--rule)}.histogram .limit{stroke:var(--ink);stroke-width:1.6}.histogram .room{fill:var(--c)}.histogram .miss{fill:var(--fail)}
.warn{color:var(--fail)}
.group+.group{border-top:1px solid var(--edge);padding-top:1.1rem}.group>*+*{margin-top:.9rem}
.mark{fill:var(--paper);stroke:var(--ink);stroke-width:1.8}.mark.f{stroke:var(--fail);stroke-width:2.6}.mark.n{stroke-dasharray:2 2}
.look{list-style:none}
.look>li{display:grid;grid-template-columns:auto minmax(0,1fr);gap:.1rem .8rem;padding:.5rem 0;border-bottom:1px solid var(--rule)}
.look>li:last-child{border-bottom:0}
.look code{display:block;color:var(--ink2);margin-top:.1rem}
.cautions{list-style:none}.cautions li{padding:.1rem 0 .1rem .9rem;border-left:3px solid var(--i)}.cautions li+li{margin-top:.5rem}
.pairs{display:grid;grid-template-columns:minmax(8rem,13rem) minmax(0,1fr);gap:.2rem 1rem;font-size:.92rem}
.pairs dt{color:var(--ink2)}.pairs dd{overflow-wrap:anywhere}
.sheets{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,24rem),1fr));gap:1.1rem 2rem;align-items:start}
.parameters{table-layout:fixed}.parameters td,.parameters th{font-size:.84rem;padding-block:.22rem}.parameters th:first-child{width:42%}.parameters td.num{white-space:normal}
tbody th[scope=row]{min-width:9rem}
.review{display:grid;grid-template-columns:repeat(2,minmax(0,1fr));gap:.9rem 1.4rem}
.review .box{border:1px solid var(--edge);min-height:3.6rem;padding:.3rem .6rem;font-size:.84rem;color:var(--ink2)}
.review .wide{grid-column:1/-1}.review .tall{min-height:8rem}
.review ul{display:flex;flex-wrap:wrap;gap:.3rem 1.6rem;color:var(--ink);font-size:1rem;margin-top:.3rem}
.review li::before{content:"";display:inline-block;width:1em;height:1em;border:1.5px solid var(--ink);margin-right:.5em;vertical-align:-.12em}
footer{border-top:1px solid var(--edge);padding-top:.8rem;font-size:.84rem;color:var(--ink2)}
@media (max-width:72rem){section{grid-template-columns:minmax(0,1fr)}main{padding:0 1.4rem 1.6rem}}
@media (max-width:44rem){
 body{font-size:14px}main{margin:0;border:0;padding:0 1rem 1.4rem}
 .verdict>.seal{width:3.6rem;height:3.6rem;font-size:2.2rem}.verdict p.word{font-size:1.7rem}.verdict p.say{grid-column:1/-1}
 .facts>div{flex-basis:8.5rem}
 .stack thead{position:absolute;clip-path:inset(50%);width:1px;height:1px;overflow:hidden}
 .stack,.stack tbody,.stack caption{display:block}
 .stack tr{display:grid;grid-template-columns:minmax(0,1fr) minmax(0,1fr);gap:.25rem .9rem;padding:.6rem 0;border-bottom:1px solid var(--rule)}
 .stack.marked tr{grid-template-columns:2.1rem minmax(0,1fr) minmax(0,1fr)}
 .stack tbody th,.parameters th:first-child{min-width:0;width:auto}
 .stack td,.stack th,.stack td.num{border:0;padding:0;text-align:left;white-space:normal;width:auto}
 .stack td.bars{padding-left:0}.stack td.bars .bar{margin-left:-.5rem}
 .stack td.cell{grid-row:1/9}.stack th{grid-column:1/-1}.stack.marked th{grid-column:2/-1}
 .stack.marked td:not(.cell){grid-column:auto}.stack td.whole,.stack.marked td.whole{grid-column:1/-1}.stack.marked td.whole{grid-column:2/-1}
 .stack td[data-what]::before{content:attr(data-what);display:block;color:var(--ink2);font-size:.82rem}
 .stack td:empty{display:none}
 .review,.pairs{grid-template-columns:minmax(0,1fr)}.pairs dt{margin-top:.3rem}
}
@page{size:A4;margin:14mm 13mm}
@media print{
 body{font-size:9.4pt}main{margin:0;border:0;padding:0;max-width:none}nav{display:none}header{padding-top:0}
 section{display:block;padding:.7rem 0 .9rem}section>.body{margin-top:.5rem}.bar{width:5.6rem}.sheets{grid-template-columns:repeat(2,minmax(0,1fr))}.sheets td,.sheets th{font-size:.82rem;padding-block:.2rem}
 section>.side p{max-width:none}
 h2,h3,caption,thead,.side,.run>p:not(:last-child){break-after:avoid}thead{display:table-header-group}
 tr,figure,#checks .run,#breaking .run,.cautions li,.parameters thead,.look>li,.side,.review,.facts,.verdict{break-inside:avoid}
 .plots{grid-template-columns:repeat(2,minmax(0,1fr))}.scroll{overflow:visible}
 a{color:inherit;text-decoration:none}.fresh{break-before:page}
}
`;
