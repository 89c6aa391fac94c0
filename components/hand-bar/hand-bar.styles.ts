import { css } from 'lit';

export const handStyles = css`
  :host {
    display: flex; gap: 1.6rem; align-items: flex-end; padding: 0.55rem 0.75rem 0.7rem; background: var(--ground);
    border-top: 1px solid var(--rule);
  }
  .ctl { display: flex; flex-direction: column; gap: 0.3rem; min-width: 0; flex: none; }
  .ctl > label, .lab { font-size: 0.92rem; color: var(--ink2); white-space: nowrap; display: flex; justify-content: space-between; gap: 0.6rem; }
  .ctl b { color: var(--ink); font-weight: 650; font-size: 1rem; }
  em { font-style: normal; margin-left: 0.4rem; }
  .row { display: flex; gap: 0.5rem; }
  .unfold { display: none; }
  .pull { flex: 1 1 14rem; min-width: 9rem; }
  select.key { min-width: 5.5rem; }
  input[type='range'] { appearance: none; width: 100%; height: 2.15rem; background: none; margin: 0; cursor: grab; }
  input[type='range']:active { cursor: grabbing; }
  input[type='range']::-webkit-slider-runnable-track {
    height: 1.2rem; border: 1.5px solid var(--edge); border-radius: 2px;
    background: linear-gradient(90deg, var(--ink) var(--share, 0%), var(--paper) var(--share, 0%));
  }
  input[type='range']::-webkit-slider-thumb {
    appearance: none; width: 1.4rem; height: 2.1rem; margin-top: -0.56rem; background: var(--paper);
    border: 2.5px solid var(--ink); border-radius: 3px;
  }
  input[type='range']::-moz-range-track {
    height: 1.1rem; border: 1.5px solid var(--edge); border-radius: 2px;
    background: linear-gradient(90deg, var(--ink) var(--share, 0%), var(--paper) var(--share, 0%));
  }
  input[type='range']::-moz-range-thumb { width: 1.1rem; height: 1.8rem; background: var(--paper); border: 2.5px solid var(--ink); border-radius: 3px; }
  @media (max-width: 1280px) { :host { gap: 1rem; } .key { padding: 0.2rem 0.55rem; } }
  @media (max-width: 1100px) {
    :host { flex-wrap: wrap; row-gap: 0.4rem; } .pull { flex-basis: 20rem; }
  }
  @media (max-width: 640px) {
    :host {
      position: sticky; bottom: 0; z-index: 4; gap: 0.5rem 0.8rem; padding: 0.4rem 0.6rem 0.5rem;
      border-top: 1.5px solid var(--edge);
    }
    .pull { flex-basis: 100%; } input[type='range'] { height: 2.6rem; } input[type='range']::-webkit-slider-thumb { height: 2.6rem; margin-top: -0.75rem; width: 2rem; }
    .unfold { display: block; margin-left: auto; } .extra { display: none; } :host([more]) .extra { display: flex; }
    em { display: none; } .key { min-height: 2.75rem; padding: 0 0.65rem; } .lab { display: none; }
  }
`;
