import { css } from 'lit';

export const controllerStyles = css`
  header { padding: 0.45rem 0.75rem; }
  .both { grid-template-columns: minmax(19rem, 1fr) minmax(0, 1fr); }
  .side { padding: 0.7rem 1.1rem 1.2rem 0.75rem; }
  .side + .side { padding-left: 1.1rem; padding-right: 0.75rem; }
  h3 { font: 600 1rem/1.25 var(--text); margin: 0 0 0.3rem; }
  .way { padding: 0.7rem 0 0.8rem; border-top: 1px solid var(--rule); }
  .way p, .stand p { margin: 0 0 0.45rem; color: var(--ink2); font-size: 0.92rem; line-height: 1.35; overflow-wrap: anywhere; }
  .row { display: flex; flex-wrap: wrap; gap: 0.45rem; align-items: center; }
  .stack { display: flex; flex-wrap: wrap; }
  .stack .key { flex: 1 1 100%; text-align: left; margin-top: -1.5px; border-radius: 0; white-space: normal; }
  label { font-size: 0.92rem; color: var(--ink2); display: block; margin-bottom: 0.2rem; }
  input, select {
    border: 1.5px solid var(--edge); border-radius: 2px; background: var(--paper); min-height: 2.15rem; padding: 0.2rem 0.5rem; min-width: 0;
  }
  .row input { flex: 1 1 9rem; }
  .key[disabled] { color: var(--ink2); border-style: dashed; cursor: default; }
  .key.firm { background: var(--ink); color: var(--paper); border-color: var(--ink); font-weight: 600; }
  .way p.unchosen { color: var(--ink); margin-top: 0.4rem; }
  details { margin-top: 0.45rem; } summary { cursor: pointer; font-size: 0.92rem; min-height: 24px; } details p { margin-top: 0.35rem; }
  .others { border-top: 1px solid var(--rule); margin: 0; padding-top: 0.6rem; } .others summary { font-size: 1rem; font-weight: 600; padding-bottom: 0.6rem; }
  .stand .caution { margin: 0.6rem 0 0; }
  .stand { padding-bottom: 0.7rem; }
  .stand b { display: block; font-size: 1.2rem; font-weight: 650; margin-bottom: 0.2rem; line-height: 1.25; }
  .stand .row { margin-top: 0.55rem; }
  .stand p.ask { color: var(--ink); font-weight: 600; font-size: 1rem; margin: 0.6rem 0 0; }
  table { margin: 0 0 0.7rem; }
  caption { padding: 0 0 0.25rem; }
  th { color: var(--ink2); width: 44%; } td { overflow-wrap: anywhere; }
  .unit { width: 5.5rem; color: var(--ink2); }
  .name th { overflow-wrap: anywhere; }
  .counts { margin: 0 0 0.7rem; padding: 0; list-style: none; display: grid; grid-template-columns: repeat(auto-fill, minmax(11.5rem, 1fr)); column-gap: 1rem; }
  .counts li { display: flex; justify-content: space-between; gap: 0.6rem; border-top: 1px solid var(--rule); padding: 0.16rem 0; color: var(--ink2); }
  .counts b { color: var(--ink); font-weight: 600; } .counts .bad { color: var(--ink); font-weight: 600; }
  /* Drawn, not written: not every font has a triangle. */
  .counts .bad span::before { content: ''; display: inline-block; width: 0.62em; height: 0.56em; background: currentColor; clip-path: polygon(50% 0, 100% 100%, 0 100%); margin-right: 0.35em; }
  .notes { margin: 0 0 0.7rem; padding: 0; list-style: none; max-height: 7rem; overflow: auto; }
  .notes li { border-top: 1px solid var(--rule); padding: 0.2rem 0; overflow-wrap: anywhere; line-height: 1.3; }
  .notes b { font-weight: 600; }
  @media (max-width: 1280px) {
    .both { display: block; overflow: auto; } .side { overflow: visible; padding-right: 0.75rem; }
    .side + .side { border-left: 0; border-top: 1px solid var(--edge); padding-left: 0.75rem; }
    .stack { display: flex; gap: 0.45rem; } .stack .key { flex: 0 1 auto; margin-top: 0; border-radius: 2px; }
  }
`;
