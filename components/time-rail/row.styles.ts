import { css } from 'lit';

/** A row of fields under the rail. */
export const rowStyles = css`
  :host { display: block; }
  form { display: flex; flex-wrap: wrap; gap: 0.35rem 0.9rem; align-items: center; }
  label { display: flex; gap: 0.55rem; align-items: center; white-space: nowrap; }
  input, select {
    min-height: 2.15rem; border: 1.5px solid var(--edge); border-radius: 2px; background: var(--paper); padding: 0.1rem 0.4rem;
    min-width: 0;
  }
  .close { margin-left: auto; }
  .problem { color: var(--fail); }
  .problem:empty { display: none; }
  @media (pointer: coarse) { input, select { min-height: 44px; } }
  @media (max-width: 640px) { label { flex-wrap: wrap; white-space: normal; } select { max-width: 100%; } }
`;
