import { css } from 'lit';

/** Hazard tape, as on a real bench: what follows may move. */
export const cautionStyles = css`
  .caution { display: grid; grid-template-columns: 0.7rem minmax(0, 1fr); column-gap: 0.7rem; margin: 0 0 0.75rem; }
  .caution::before {
    content: ''; grid-row: 1 / 9; background: repeating-linear-gradient(135deg, var(--tape) 0 0.5rem, var(--on-tape) 0.5rem 0.8rem);
  }
  .caution p { grid-column: 2; margin: 0.15rem 0; font-weight: 600; line-height: 1.35; color: var(--ink); font-size: 1rem; }
`;
