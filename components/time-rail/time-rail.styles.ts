import { css } from 'lit';

export const railStyles = css`
  :host { display: block; position: relative; padding: 0.35rem 0.75rem 0.2rem; background: var(--ground); border-top: 1px solid var(--edge); }
  .row { display: flex; align-items: center; gap: 0.4rem 1.1rem; flex-wrap: wrap; }
  .lab { font-size: 0.92rem; color: var(--ink2); margin-right: 0.6rem; white-space: nowrap; }
  .set { display: flex; align-items: center; }
  .say { color: var(--ink2); font-size: 0.92rem; min-width: 0; flex: 1 1 12rem; line-height: 1.2; }
  .say.strong { color: var(--ink); }
  .key[disabled] { color: var(--ink2); border-style: dashed; cursor: default; }
  .steps .key { padding: 0.2rem 0.5rem; }
  .pace { margin-left: auto; }
  /* Over the stage: what is drawn there keeps its size. */
  rewind-form, freeze-form {
    position: absolute; left: 0; right: 0; bottom: 100%; z-index: 5; padding: 0.5rem 0.75rem; background: var(--ground);
    border-top: 2px solid var(--ink); border-bottom: 1px solid var(--rule);
  }
  run-strip { margin-top: 0.2rem; }
  @media (max-width: 1500px) { .lab { display: none; } .row { gap: 0.35rem 0.6rem; } .key { padding: 0.2rem 0.5rem; } }
  @media (max-width: 1180px) { .say { flex-basis: 100%; order: 9; } }
  /* One row even while there is a way on from the past: the stage keeps its height. */
  @media (max-width: 1180px) and (min-width: 641px) {
    .say:not(.strong) { display: none; } .row { gap: 0.35rem 0.45rem; } .key, .steps .key { padding: 0.2rem 0.38rem; }
  }
  @media (max-width: 640px) {
    rewind-form, freeze-form { position: static; padding: 0.35rem 0; margin-top: 0.35rem; border-top-width: 1px; }
    .pace { margin-left: 0; } .say { flex-basis: 100%; } .steps .key { padding: 0.2rem 0.3rem; }
  }
`;
