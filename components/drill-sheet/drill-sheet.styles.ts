import { css } from 'lit';

export const sheetStyles = css`
  :host {
    display: grid; grid-template-rows: auto minmax(0, 1fr); background: var(--paper); border-bottom: 1px solid var(--edge);
    min-height: 0; min-width: 0;
  }
  header {
    display: flex; flex-wrap: wrap; align-items: center; gap: 0.5rem 1.2rem; padding: 0.6rem 0.75rem; background: var(--ground);
    border-bottom: 1px solid var(--rule);
  }
  header .close { margin-left: auto; }
  .both { display: grid; grid-template-columns: minmax(23rem, 29rem) minmax(0, 1fr); min-height: 0; }
  .side { overflow: auto; padding: 0.75rem 1.1rem 1.4rem 0.75rem; min-width: 0; }
  .side + .side { border-left: 1px solid var(--rule); padding-left: 1.1rem; }
  .side:focus-visible { outline-offset: -3px; }
  .lead { margin: 0 0 0.3rem; line-height: 1.35; }
  .lead b { display: block; font-size: 1.2rem; font-weight: 650; }
  .lead span, .driven { color: var(--ink2); font-size: 0.92rem; }
  table { border-collapse: collapse; width: 100%; margin: 0 0 0.4rem; }
  caption { text-align: left; font-weight: 600; padding: 0.8rem 0 0.25rem; }
  caption code { font: inherit; font-weight: 400; color: var(--ink2); padding-left: 0.5rem; }
  th, td { text-align: left; font-weight: 400; vertical-align: baseline; padding: 0.16rem 0.9rem 0.16rem 0; border-top: 1px solid var(--rule); line-height: 1.3; }
  tr > :last-child { padding-right: 0; }
  .number { text-align: right; white-space: nowrap; font-weight: 600; padding-right: 0.35rem; }
  .list { display: block; }
  .wide { table-layout: fixed; } .wide th { width: 37%; } .wide .name { width: 9.8rem; } .wide .number { width: 6.5rem; } .wide .unit { width: 4.6rem; }
  .unit { white-space: nowrap; }
  .name, .from, .list { color: var(--ink2); font-size: 0.92rem; }
  .name, .from { overflow-wrap: anywhere; }
  sup { font-size: 0.75em; line-height: 0; }
  @media (max-width: 1180px) { .wide th { width: 40%; } .wide .name { display: none; } .wide .number { width: 5.5rem; } .wide .unit { width: 4rem; } }
  @media (max-width: 900px) {
    .both { display: block; overflow: auto; } .side { overflow: visible; padding-right: 0.75rem; }
    .side + .side { border-left: 0; border-top: 1px solid var(--rule); padding-left: 0.75rem; }
  }
  @media (max-width: 640px) {
    .group { flex-wrap: wrap; row-gap: 0.3rem; } .group .key { padding: 0.2rem 0.5rem; }
    .wide tr { display: grid; grid-template-columns: minmax(0, 1fr) auto auto; border-top: 1px solid var(--rule); }
    .wide th, .wide td { border: 0; width: auto; padding-bottom: 0; } .wide .from { grid-column: 1 / -1; padding-bottom: 0.2rem; }
  }
`;
