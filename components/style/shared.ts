import { css } from 'lit';

/** Buttons, focus and hidden text, the same in every element. Controls are ink on paper; color is kept for data. */
export const shared = css`
  :host { box-sizing: border-box; }
  *, *::before, *::after { box-sizing: border-box; }
  [hidden] { display: none !important; }
  button, select, input { font: inherit; color: inherit; letter-spacing: inherit; }
  button { cursor: pointer; }
  :focus-visible { outline: 3px solid var(--ink); outline-offset: 2px; }
  .key {
    border: 1.5px solid var(--edge); border-radius: 2px; background: var(--paper);
    min-height: 2.15rem; padding: 0.2rem 0.75rem; white-space: nowrap;
  }
  .key:hover { border-color: var(--ink); }
  .key[aria-pressed='true'] { background: var(--ink); color: var(--paper); border-color: var(--ink); }
  .group { display: flex; }
  .group .key { border-radius: 0; margin-left: -1.5px; }
  .group .key:first-of-type { margin-left: 0; border-radius: 2px 0 0 2px; }
  .group .key:last-of-type { border-radius: 0 2px 2px 0; }
  .group .key[aria-pressed='true'], .group .key:hover { position: relative; z-index: 1; }
  h2 { font: 600 1.05rem/1.1 var(--text); margin: 0; }
  .dim { color: var(--ink2); }
  .away { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
  kbd {
    font: inherit; font-size: 0.92rem; border: 1px solid var(--edge); border-radius: 2px; padding: 0 0.32em;
    background: var(--paper);
  }
  @media (pointer: coarse) { .key { min-height: 44px; } }
`;
