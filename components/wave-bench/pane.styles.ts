import { css } from 'lit';

/** Spectrum and XY beside the paper. */
export const paneStyles = css`
  :host { overflow: hidden auto; display: flex; flex-direction: column; min-width: 0; min-height: 0; background: var(--paper); }
  .row, .says { flex: none; }
  .row { display: flex; flex-wrap: wrap; gap: 0.4rem 0.8rem; align-items: center; padding: 0.4rem 0.75rem; border-bottom: 1px solid var(--rule); }
  .row .key { min-height: 1.85rem; padding: 0.1rem 0.5rem; font-size: 0.92rem; }
  label { display: inline-flex; gap: 0.4rem; align-items: center; }
  select { background: var(--paper); border: 1.5px solid var(--edge); border-radius: 2px; min-height: 1.85rem; max-width: 15rem; }
  canvas { flex: 1 1 8rem; min-height: 7.5rem; width: 100%; height: 0; display: block; }
  .says { margin: 0; padding: 0.3rem 0.75rem; color: var(--ink2); font-size: 0.92rem; line-height: 1.35; }
  .table { overflow: auto; max-height: 6.2rem; flex: none; border-top: 1px solid var(--rule); }
  .table:focus-visible { outline-offset: -3px; }
  table { border-collapse: collapse; width: 100%; }
  th, td { text-align: right; font-weight: 400; padding: 0.12rem 0.75rem; white-space: nowrap; }
  thead th { color: var(--ink2); font-size: 0.92rem; position: sticky; top: 0; background: var(--paper); }
  @media (pointer: coarse) { .row .key, select { min-height: 44px; } }
`;
