import { css } from 'lit';

export const runStyles = css`
  h3 { font: 600 1.2rem/1.2 var(--text); margin: 0; }
  h4 { font: 600 1rem/1.2 var(--text); margin: 1rem 0 0.35rem; }
  p { margin: 0.3rem 0; line-height: 1.35; max-width: 60rem; }
  .row { display: flex; flex-wrap: wrap; gap: 0.5rem 0.9rem; align-items: end; margin: 0.6rem 0; }
  label { display: grid; gap: 0.2rem; color: var(--ink2); font-size: 0.92rem; min-width: 0; }
  label > * { color: var(--ink); font-size: 1rem; }
  input, select {
    min-height: 2.15rem; border: 1.5px solid var(--edge); border-radius: 2px; background: var(--paper); padding: 0.1rem 0.4rem;
    max-width: 24rem; min-width: 0;
  }
  .firm { background: var(--ink); color: var(--paper); border-color: var(--ink); }
  .key:disabled { color: var(--ink2); border-color: var(--rule); cursor: default; }
  .firm:disabled { background: var(--ground); }
  progress { width: 14rem; max-width: 40vw; accent-color: var(--ink); }
  .problem { color: var(--fail); }
  input.part { width: 6rem; } .beside { align-self: end; min-height: 2.15rem; display: flex; align-items: center; font-size: 0.92rem; }
  .verdict { font-weight: 600; font-size: 1.2rem; }
  .verdict.failed, .bad { color: var(--fail); font-weight: 600; }
  .facts { display: flex; flex-wrap: wrap; gap: 0.2rem 1.2rem; align-items: baseline; margin: 0.4rem 0; }
  code { font: 0.92rem/1.4 ui-monospace, "DejaVu Sans Mono", monospace; overflow-wrap: anywhere; }
  .wide { overflow-x: auto; }
  .matrix-room { padding: 4px; }
  .wide:focus-visible { outline-offset: -3px; }
  table { border-collapse: collapse; width: 100%; max-width: 78rem; }
  caption { text-align: left; font-weight: 600; padding-bottom: 0.2rem; }
  th, td { text-align: left; font-weight: 400; vertical-align: baseline; padding: 0.2rem 0.9rem 0.2rem 0; border-top: 1px solid var(--rule); line-height: 1.3; }
  thead th, thead td { color: var(--ink2); border-top: 0; }
  .number { text-align: right; white-space: nowrap; }
  td small, th small { display: block; color: var(--ink2); font-size: 0.92rem; }
  td .key { min-height: 1.7rem; padding: 0 0.5rem; }
  .plots { display: grid; grid-template-columns: repeat(auto-fill, minmax(min(26rem, 100%), 1fr)); gap: 0.8rem 1.2rem; }
  figure { margin: 0; min-width: 0; }
  figure { display: grid; align-content: end; }
  figcaption { display: flex; flex-wrap: wrap; justify-content: space-between; gap: 0 1rem; font-size: 0.92rem; }
  figcaption b { font-weight: 600; }
  figure svg { display: block; width: 100%; height: 8rem; background: var(--paper); border: 1px solid var(--rule); }
  .band { fill: var(--envelope); stroke: none; }
  .mean { fill: none; stroke: var(--ink); stroke-width: 1.4; vector-effect: non-scaling-stroke; }
  .other .band { fill: none; }
  .other .mean { stroke: var(--e); stroke-dasharray: 7 4; }
  .limit { stroke: var(--fail); stroke-width: 1; vector-effect: non-scaling-stroke; stroke-dasharray: 2 3; }
  .zero { stroke: var(--rule); stroke-width: 1; vector-effect: non-scaling-stroke; }
  .fault { stroke: var(--tape); stroke-width: 3; vector-effect: non-scaling-stroke; }
  @media (pointer: coarse) { input, select, td .key, summary { min-height: 44px; } }
`;

export const viewStyles = css`
  header { padding: 0.5rem 0.75rem; }
  .both { grid-template-columns: minmax(15rem, 21rem) minmax(0, 1fr); }
  .list { display: grid; grid-template-rows: auto minmax(0, 1fr); min-height: 0; border-right: 1px solid var(--rule); }
  .find { display: grid; grid-template-columns: 1fr; gap: 0.25rem; padding: 0.5rem 0.75rem; border-bottom: 1px solid var(--rule); }
  .find input { width: 100%; max-width: none; }
  .count { font-size: 0.92rem; color: var(--ink2); }
  .hits { overflow: auto; padding: 0 0 1rem; }
  .hits h3 { font-size: 1rem; padding: 0.7rem 0.75rem 0.2rem; }
  .hit {
    display: block; width: 100%; border: 0; background: none; text-align: left; padding: 0.25rem 0.75rem; min-height: 24px; line-height: 1.25;
  }
  .hit:hover { background: var(--ground); }
  .hit[aria-pressed='true'] { background: var(--ink); color: var(--paper); }
  .hit small { font-size: 0.92rem; color: var(--ink2); }
  .hit[aria-pressed='true'] small { color: inherit; }
  .hit:focus-visible { outline-offset: -3px; }
  .side { padding: 0.75rem; }
  .side.over { outline: 3px dashed var(--ink); outline-offset: -6px; }
  ol.lines { font: 0.92rem/1.45 ui-monospace, "DejaVu Sans Mono", monospace; margin: 0.4rem 0; padding-left: 3.2rem; background: var(--ground); overflow-x: auto; }
  ol.lines li { white-space: pre; }
  ol.lines li::marker { color: var(--ink2); }
  ol.lines li.wrong { background: var(--paper); box-shadow: inset 3px 0 var(--fail); padding-left: 0.4rem; }
  ol.lines li.wrong span { display: block; white-space: pre-wrap; color: var(--fail); font: 600 0.92rem/1.35 var(--text); max-width: 60rem; }
  summary { min-height: 24px; cursor: pointer; }
  .problems { padding-left: 1.2rem; line-height: 1.4; margin: 0.3rem 0; overflow-wrap: anywhere; }
  @media (pointer: coarse) { .hit { min-height: 44px; } }
  @media (max-width: 640px) { .both { grid-template-columns: minmax(0, 1fr); } .list { border-right: 0; } .hits { max-height: 16rem; } }
`;

export const matrixStyles = css`
  .matrix { border-collapse: separate; border-spacing: 2px; width: auto; }
  .matrix th { font-weight: 400; border: 0; padding: 0.2rem 0.6rem 0.2rem 0; max-width: 16rem; }
  .matrix td, .matrix th { vertical-align: middle; }
  .matrix td { border: 0; padding: 0; min-width: 5.5rem; }
  .cell {
    position: relative; display: grid; grid-template-columns: auto 1fr; gap: 0 0.5rem; width: 100%; min-height: 3rem; border: 1.5px solid var(--edge); border-radius: 2px;
    background: var(--paper); padding: 0.15rem 0.4rem; text-align: left; align-items: center; line-height: 1.15; white-space: nowrap;
  }
  .cell b { font-size: 1.2rem; }
  .cell small { font-size: 0.92rem; grid-column: 2; }
  .cell.f { border-color: var(--fail); border-width: 3px; color: var(--fail); }
  .cell.p { background: var(--ground); }
  .cell.n, .cell.i { border-style: dotted; }
  .cell.l { border-style: dashed; border-color: var(--fail); }
  .cell.empty { border-color: var(--rule); border-style: dotted; color: var(--ink2); }
  .cell.picked { outline: 3px solid var(--ink); outline-offset: 1px; }
`;
