import { css } from 'lit';

/** A sheet that lies over Record and Now: a head with a way out, two sides, tables of what is known. */
export const sheetFrame = css`
  :host {
    display: grid; grid-template-rows: auto minmax(0, 1fr); background: var(--paper); border-bottom: 1px solid var(--edge);
    min-height: 0; min-width: 0;
  }
  header {
    display: flex; flex-wrap: wrap; align-items: center; gap: 0.5rem 1.2rem; background: var(--ground);
    border-bottom: 1px solid var(--rule);
  }
  header .close { margin-left: auto; }
  .both { display: grid; min-height: 0; }
  .side { overflow: auto; min-width: 0; }
  .side + .side { border-left: 1px solid var(--rule); }
  .side:focus-visible { outline-offset: -3px; }
  table { border-collapse: collapse; width: 100%; }
  caption { text-align: left; font-weight: 600; }
  th, td { text-align: left; font-weight: 400; vertical-align: baseline; padding: 0.16rem 0.9rem 0.16rem 0; border-top: 1px solid var(--rule); line-height: 1.3; }
  tr > :last-child { padding-right: 0; }
  .number { text-align: right; white-space: nowrap; font-weight: 600; padding-right: 0.35rem; }
`;
