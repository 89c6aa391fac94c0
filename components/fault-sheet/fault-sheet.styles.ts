import { css } from 'lit';

export const faultSheetStyles = css`
  :host { grid-template-columns: minmax(0, 1fr); }
  header { padding: 0.45rem 0.75rem; min-height: 3.2rem; }
  .both { grid-template-columns: minmax(11.5rem, 17rem) minmax(0, 1fr); }
  .find { padding: 0.6rem 0.75rem 0.5rem; border-bottom: 1px solid var(--rule); }
  .find label, .field > label, .field > .lab { display: block; font-size: 0.92rem; color: var(--ink2); margin-bottom: 0.15rem; }
  .list { display: grid; grid-template-rows: auto minmax(0, 1fr); min-height: 0; min-width: 0; }
  .hits { overflow: auto; padding: 0.2rem 0 1rem; }
  .hits:focus-visible { outline-offset: -3px; }
  .hits h3 {
    position: sticky; top: -0.2rem; background: var(--paper); font: 600 0.92rem/1.25 var(--text); color: var(--ink2); margin: 0;
    padding: 0.55rem 0.75rem 0.2rem; border-bottom: 1px solid var(--rule);
  }
  .hit {
    display: block; width: 100%; text-align: left; background: none; border: 0; border-left: 0.3rem solid transparent; padding: 0.22rem 0.6rem 0.22rem 0.45rem;
    min-height: 24px; line-height: 1.25;
  }
  .hit:hover { border-left-color: var(--edge); } .hit[aria-pressed='true'] { border-left-color: var(--ink); font-weight: 600; }
  .hit:focus-visible { outline-offset: -3px; }
  .hit:disabled { cursor: default; }
  .count { font-size: 0.92rem; color: var(--ink2); display: block; min-height: 1.3em; padding-top: 0.2rem; }
  .none { padding: 0.7rem 0.75rem; margin: 0; color: var(--ink2); }
  .side { padding: 0.6rem 0.9rem 1.4rem; }
  .side h3 { font: 600 1.2rem/1.2 var(--text); margin: 0 0 0.15rem; }
  .side h4 { font: 600 1rem/1.25 var(--text); margin: 0 0 0.15rem; }
  .side p { margin: 0 0 0.45rem; line-height: 1.38; overflow-wrap: anywhere; }
  .side .dim { font-size: 0.92rem; }
  .sight { border-left: 2px solid var(--rule); padding-left: 0.7rem; margin: 0.5rem 0 0.7rem; }
  .fields { display: flex; flex-wrap: wrap; gap: 0.6rem 1.2rem; padding-top: 0.6rem; border-top: 1px solid var(--rule); align-items: flex-start; }
  .field { min-width: 0; } .field.wide { flex: 1 1 100%; }
  .field small { display: block; color: var(--ink2); font-size: 0.92rem; margin-top: 0.15rem; max-width: 22rem; }
  .row { display: flex; flex-wrap: wrap; gap: 0.4rem 0.6rem; align-items: center; }
  input, select {
    border: 1.5px solid var(--edge); border-radius: 2px; background: var(--paper); min-height: 2.15rem; padding: 0.2rem 0.5rem; min-width: 0; max-width: 100%;
  }
  .find input { width: 100%; } input.number { width: 6rem; text-align: right; font-weight: 600; }
  [aria-invalid='true'] { border-color: var(--fail); border-width: 2px; }
  .side .refusal { color: var(--fail); font-weight: 600; margin: 0.6rem 0 0; } .refusal:empty { display: none; }
  .caution { position: relative; padding: 0.1rem 0 0.1rem 1.5rem; margin-top: 0.8rem; }
  .caution::before { content: ''; position: absolute; inset: 0 auto 0 0; width: 0.8rem; background: repeating-linear-gradient(-45deg, var(--tape) 0 7px, var(--on-tape) 7px 13px); }
  .caution p { margin: 0.2rem 0; }
  .do { margin-top: 0.8rem; }
  .key.firm { background: var(--ink); color: var(--paper); border-color: var(--ink); font-weight: 600; }
  .live { margin-top: 1.1rem; border-top: 2px solid var(--ink); padding-top: 0.5rem; }
  .live h4 { padding-bottom: 0.3rem; } .standing { font-weight: 600; border-left: 0.7rem solid var(--tape); padding-left: 0.5rem; }
  .fault { padding: 0.4rem 0 0.5rem 1.1rem; border-top: 1px solid var(--rule); }
  .fault b, .fault span { display: block; } .fault span { color: var(--ink2); font-size: 0.92rem; }
  .key { white-space: normal; }
  @media (pointer: coarse) { .hit, input, select { min-height: 44px; } }
  @media (max-width: 640px) {
    .both { display: block; } .list { display: block; } .hits { max-height: 17rem; border-bottom: 1px solid var(--edge); }
    .side { overflow: visible; border-left: 0 !important; } input, select { font-size: max(1rem, 16px); }
  }
`;
