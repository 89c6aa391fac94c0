import { css } from 'lit';

/** Large enough for the last row of a class: nothing here is smaller than the text of the rest of the page. */
export const lessonStyles = css`
  :host { grid-template-columns: minmax(0, 1fr); grid-template-rows: auto minmax(0, 1fr) auto; font-size: clamp(15px, 1.22rem, 24px); line-height: 1.35; }
  header { padding: 0.4rem 0.9rem; min-height: 3.2rem; }
  kbd { font-size: max(15px, 0.85em); }
  .bars { display: flex; gap: 0.25rem; }
  .bars i { width: 1.6rem; height: 0.6rem; border: 1.5px solid var(--edge); } .bars i.done { background: var(--ink); border-color: var(--ink); }
  .body { overflow: auto; padding: 0.7rem 0.9rem 1rem; min-height: 0; }
  .body:focus-visible { outline-offset: -3px; }
  h3 { font: 600 1.3em/1.2 var(--text); margin: 0 0 0.3rem; } h3:focus { outline: 0; }
  p { margin: 0 0 0.5rem; max-width: 46em; overflow-wrap: anywhere; }
  .says { font-size: 1.2em; line-height: 1.3; }
  .sets, .small { color: var(--ink2); font-size: 0.92em; }
  .status { font-weight: 600; min-height: 1.35em; margin-bottom: 0.3rem; }
  .two { display: grid; grid-template-columns: minmax(0, 1.15fr) minmax(0, 1fr); gap: 0.4rem 1.4rem; align-items: start; }
  table { margin: 0 0 0.6rem; } caption { padding-bottom: 0.15rem; }
  .answers { display: grid; gap: 0.35rem; margin: 0.2rem 0 0.6rem; padding: 0; list-style: none; }
  .answers .key { width: 100%; text-align: left; white-space: normal; min-height: 2.5rem; display: flex; gap: 0.7rem; align-items: baseline; }
  .answers .key[aria-pressed='true'] kbd, footer .key:hover kbd { color: inherit; background: none; }
  .look { border-left: 4px solid var(--ink); padding-left: 0.7rem; min-height: 1.4em; } .look:empty { display: none; }
  footer { display: flex; flex-wrap: wrap; gap: 0.5rem 0.7rem; padding: 0.5rem 0.9rem; border-top: 1px solid var(--rule); background: var(--ground); }
  footer .key { min-height: 2.6rem; font-size: 1em; } .firm { background: var(--ink); color: var(--paper); border-color: var(--ink); font-weight: 600; }
  .firm:hover { color: var(--paper); } .firm kbd { background: none; border-color: var(--paper); }
  .chooser { list-style: none; padding: 0; margin: 0.6rem 0 1rem; display: grid; gap: 0.5rem; }
  .chooser .key { width: 100%; text-align: left; white-space: normal; padding: 0.5rem 0.8rem; }
  .chooser b { display: block; font-size: 1.1em; } .chooser span { color: var(--ink2); }
  .caution { border-left: 4px solid var(--fail); padding-left: 0.7rem; margin: 0.8rem 0; } .caution p { margin: 0 0 0.25rem; }
  .trouble { color: var(--fail); font-weight: 600; }
  .worksheet { display: none; }
  @media (min-width: 1500px) and (min-height: 900px) { :host { font-size: clamp(15px, 1.5rem, 28px); } }
  @media (max-width: 640px) { .look { scroll-margin: 9rem 0 12rem; } .two { grid-template-columns: minmax(0, 1fr); } .body { overflow: visible; } }
  @media print {
    :host { display: block; border: 0; font-size: 11pt; color: #000; background: #fff; }
    header, .body, footer { display: none; }
    .worksheet { display: block; } .worksheet section { break-inside: avoid; border-top: 1px solid #000; padding: 0.5rem 0; }
    .worksheet h1 { font: 600 16pt/1.2 var(--text); } .worksheet h2 { font: 600 12pt/1.2 var(--text); margin: 0 0 0.2rem; }
    .worksheet ol { list-style: upper-alpha; margin: 0.2rem 0; padding-left: 1.6rem; }
    .line { border-bottom: 1px dotted #000; height: 1.7rem; font-size: 9pt; }
  }
`;
