import { css } from 'lit';

export const drillSheetStyles = css`
  header { padding: 0.6rem 0.75rem; }
  .both { grid-template-columns: minmax(23rem, 29rem) minmax(0, 1fr); }
  .side { padding: 0.75rem 1.1rem 1.4rem 0.75rem; }
  .side + .side { padding-left: 1.1rem; }
  .lead { margin: 0 0 0.3rem; line-height: 1.35; }
  .lead b { display: block; font-size: 1.2rem; font-weight: 650; }
  .lead span, .driven { color: var(--ink2); font-size: 0.92rem; }
  table { margin: 0 0 0.4rem; }
  caption { padding: 0.8rem 0 0.25rem; }
  caption code { font: inherit; font-weight: 400; color: var(--ink2); padding-left: 0.5rem; }
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
