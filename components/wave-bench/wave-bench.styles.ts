import { css } from 'lit';

export const waveStyles = css`
  :host { display: grid; grid-template-rows: auto minmax(0, 1fr); background: var(--paper); min-height: 0; min-width: 0; }
  .bar { display: flex; flex-wrap: wrap; gap: 0.4rem 0.9rem; align-items: center; padding: 0.35rem 0.75rem; background: var(--ground); border-bottom: 1px solid var(--rule); }
  .bar .key { min-height: 1.95rem; padding: 0.1rem 0.6rem; }
  .bar .close { margin-left: auto; }
  .body { display: grid; grid-template-columns: 19rem minmax(0, 1fr); min-height: 0; }
  .body.bare { grid-template-columns: minmax(0, 1fr); } .bare signal-list { display: none; }
  signal-list { border-right: 1px solid var(--edge); }
  .main { display: grid; grid-template: 'say' auto 'room' minmax(8rem, 1fr) 'tables' auto / minmax(0, 1fr); min-height: 0; min-width: 0; }
  .main.two { grid-template: 'say say' auto 'room panes' minmax(8rem, 1fr) 'tables panes' auto / minmax(0, 1fr) minmax(20rem, 36%); }
  .say { grid-area: say; } .room { grid-area: room; } .tables { grid-area: tables; }
  .say { padding: 0.15rem 0.75rem; border-bottom: 1px solid var(--rule); display: flex; gap: 0.3rem 1.2rem; align-items: center; justify-content: space-between; }
  .say p { margin: 0; display: flex; flex-wrap: wrap; gap: 0 1.2rem; line-height: 1.35; }
  .say .key { min-height: 24px; padding: 0 0.55rem; font-size: 0.92rem; }
  .say b { font-weight: 600; } .say span { color: var(--ink2); }
  .panes { grid-area: panes; display: grid; grid-auto-rows: minmax(0, 1fr); min-height: 0; border-left: 1px solid var(--edge); }
  .panes > * + * { border-top: 1px solid var(--edge); }
  .room { position: relative; overflow: hidden auto; min-height: 0; min-width: 0; }
  .paper { position: relative; touch-action: pan-y; cursor: grab; user-select: none; -webkit-user-select: none; }
  .paper:active { cursor: grabbing; }
  .paper:focus-visible { outline-offset: -3px; }
  .paper canvas, .middle { position: absolute; inset: 0; width: 100%; height: 100%; display: block; pointer-events: none; }
  .times { position: sticky; bottom: 0; display: block; pointer-events: none; z-index: 1; } .room canvas[hidden] { display: none; }
  .flag {
    position: absolute; top: 0; width: 26px; height: 26px; margin-left: -13px; display: grid; place-items: center; background: var(--ink); color: var(--paper);
    font-weight: 700; cursor: ew-resize; touch-action: none; border-radius: 0 0 2px 2px; line-height: 1; z-index: 2;
  }
  .flag:focus-visible { outline-offset: 2px; }
  .notice { position: absolute; inset: 30% auto auto 50%; transform: translateX(-50%); background: var(--paper); border: 1px solid var(--edge); padding: 0.6rem 1rem; margin: 0; z-index: 2; }
  .tables { border-top: 1px solid var(--edge); max-height: 8rem; overflow: auto; }
  .tables.read { max-height: 11rem; }
  .tables:focus-visible { outline-offset: -3px; }
  table { border-collapse: collapse; width: 100%; }
  caption { text-align: left; padding: 0.3rem 0.75rem 0.15rem; color: var(--ink2); font-size: 0.92rem; }
  th, td { font-weight: 400; text-align: right; padding: 0.1rem 0.6rem; white-space: nowrap; border-top: 1px solid var(--rule); }
  th:first-child { text-align: left; padding-left: 0.75rem; }
  thead th { color: var(--ink2); font-size: 0.92rem; position: sticky; top: 0; background: var(--paper); z-index: 1; border-top: 0; box-shadow: inset 0 -1px 0 var(--rule); }
  td.unit { text-align: left; color: var(--ink2); padding-left: 0; }
  .tag { display: inline-grid; place-items: center; min-width: 1.15rem; height: 1.15rem; border: 1.5px solid; font-weight: 600; font-size: 0.84rem; margin-right: 0.45rem; line-height: 1; }
  .tag span { color: var(--ink); }
  th svg { width: 1.7rem; height: 0.7rem; margin-right: 0.45rem; }
  .small { background: none; border: 1px solid var(--edge); border-radius: 2px; min-height: 24px; padding: 0 0.45rem; font-size: 0.92rem; }
  .small:hover { border-color: var(--ink); } .small[aria-pressed='true'] { background: var(--ink); color: var(--paper); }
  .scales { display: flex; flex-wrap: wrap; gap: 0.4rem 1.6rem; padding: 0.4rem 0.75rem 0.6rem; border: 0; margin: 0; }
  .scales label { display: inline-flex; gap: 0.35rem; align-items: center; min-height: 24px; }
  .scales input[type='number'] { width: 5.4rem; min-height: 24px; border: 1.5px solid var(--edge); border-radius: 2px; background: var(--paper); padding: 0 0.3rem; }
  .scales input[type='checkbox'] { width: 1.1rem; height: 1.1rem; accent-color: var(--ink); }
  .scales fieldset { border: 0; padding: 0; margin: 0; display: flex; gap: 0.5rem; align-items: center; }
  .scales legend { float: left; font-weight: 600; padding: 0 0.5rem 0 0; }
  ol { margin: 0; padding: 0.5rem 0.75rem; list-style: none; display: flex; flex-wrap: wrap; gap: 0.2rem 1.4rem; }
  ol li { display: flex; gap: 0.5rem; align-items: center; }
  @media (max-width: 1100px) {
    .body { grid-template-columns: 15rem minmax(0, 1fr); }
  }
  @media (max-width: 640px) {
    :host { display: block; }
    .bar { flex-wrap: nowrap; overflow-x: auto; } .bar > * { flex: none; } .say { flex-wrap: wrap; }
    .body { display: block; position: relative; }
    .main, .main.two { display: block; }
    .room { height: 62vh; } .panes { border-left: 0; } .panes > * { height: 62vh; border-top: 1px solid var(--edge); }
    signal-list { display: none; }
    signal-list[open] { display: grid; position: fixed; inset: 25vh 0 0 0; z-index: 12; border-top: 2px solid var(--ink); border-right: 0; }
    .tables, .tables.read { max-height: none; overflow-x: auto; }
  }
  @media (pointer: coarse) { .bar .key, .small { min-height: 44px; } .flag { width: 44px; height: 44px; margin-left: -22px; } }
`;
