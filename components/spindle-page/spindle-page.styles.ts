import { css } from 'lit';

export const pageStyles = css`
  :host {
    display: grid; height: 100dvh; overflow: hidden; background: var(--ground);
    grid-template-columns: minmax(0, 1fr) auto minmax(13.5rem, 17.5vw);
    grid-template-rows: auto 2.15rem minmax(0, 1fr) auto auto auto;
    grid-template-areas: 'head head head' 'rcap ncap acap' 'record now ahead' 'rail rail rail' 'hand hand hand' 'foot foot foot';
  }
  /* A landmark, no box: what is in it lies in the grid of the page. */
  main { display: contents; }
  head-bar { grid-area: head; } time-rail { grid-area: rail; } hand-bar { grid-area: hand; }
  record-view { grid-area: record; } ahead-list { grid-area: ahead; }
  drill-view { grid-area: now; width: var(--now-width, 22rem); border-left: 2px solid var(--ink); }
  .panel { grid-area: 2 / 1 / 4 / -1; z-index: 4; }
  /* Over Record alone: the drill stays in sight while somebody else takes it over. */
  .panel.record { grid-area: 2 / 1 / 4 / 2; }
  /* Behind a view nothing of the stage is laid out, painted or put in layers: the plant in the worker needs the machine. */
  :host([covered]) :is(.cap, drill-view, record-view, ahead-list) { visibility: hidden; content-visibility: hidden; }
  /* A lesson is what comes next: time rail and Ahead make room for it and for the drill. */
  :host([teaching]) { grid-template-columns: minmax(0, 1fr) auto 0; }
  :host([teaching]) time-rail, :host([teaching]) ahead-list, :host([teaching]) .acap { display: none; }
  .cap {
    display: flex; align-items: center; gap: 0.7rem; padding: 0 0.75rem; border-bottom: 1px solid var(--rule); white-space: nowrap;
    overflow: hidden; min-width: 0;
  }
  .cap small { font-size: 0.92rem; color: var(--ink2); }
  .rcap { grid-area: rcap; } .ncap { grid-area: ncap; border-left: 2px solid var(--ink); }
  .acap { grid-area: acap; border-left: 1px dashed var(--edge); }
  .legend { margin-left: auto; display: flex; gap: 1.1rem; font-size: 0.92rem; align-items: center; }
  .legend span { display: flex; align-items: center; gap: 0.45rem; }
  .legend svg { width: 2.2rem; height: 0.8rem; }
  .clock { font-weight: 600; margin-left: auto; }
  .foot {
    grid-area: foot; display: flex; gap: 1.2rem; align-items: center; justify-content: space-between; padding: 0.22rem 0.75rem;
    border-top: 1px solid var(--rule); font-size: 0.92rem; color: var(--ink2); line-height: 1.25;
  }
  .foot button { background: none; border: 0; border-bottom: 1px solid var(--edge); padding: 0; min-height: 24px; color: var(--ink); white-space: nowrap; }
  .hint {
    grid-area: record; align-self: end; justify-self: start; z-index: 3; pointer-events: none; margin: 0 0 3.6rem 0.75rem; padding: 0.35rem 0.7rem;
    background: var(--ink); color: var(--paper); font-weight: 600; line-height: 1.3;
  }
  .hint kbd { color: var(--ink); } .by-touch { display: none; }
  @media (hover: none) and (pointer: coarse) { .by-keys { display: none; } .by-touch { display: inline; } }
  .notice {
    grid-area: record; align-self: center; justify-self: center; z-index: 3; background: var(--paper); border: 2px solid var(--ink);
    padding: 1rem 1.2rem; max-width: 27rem; line-height: 1.4;
  }
  .notice.lost { align-self: end; margin-bottom: 2.4rem; }
  .notice p { margin: 0 0 0.5rem; overflow-wrap: anywhere; }
  .notice b { display: block; font-size: 1.2rem; margin-bottom: 0.3rem; }
  @media (max-width: 1180px) { :host { grid-template-columns: minmax(0, 1fr) auto 12.5rem; } .legend { gap: 0.7rem; } }
  @media (max-width: 640px) {
    :host { display: flex; flex-direction: column; height: auto; min-height: 100dvh; overflow: visible; }
    head-bar { order: 0; } .ncap { order: 1; } drill-view { order: 2; width: 100%; aspect-ratio: 500 / 800; border-left: 0; }
    time-rail { order: 3; } .rcap { order: 4; } record-view { order: 5; height: 46rem; flex: none; }
    .acap { order: 6; } ahead-list { order: 7; } .foot { order: 8; } hand-bar { order: 9; }
    .ncap, .acap { border-left: 0; } .cap { min-height: 2.4rem; flex: none; } .legend svg { width: 1.5rem; }
    .panel { order: 0; }
    :host([covered]) .cap, :host([covered]) drill-view, :host([covered]) record-view, :host([covered]) ahead-list { display: none; }
    :host([teaching]) .rcap, :host([teaching]) record-view { display: none; }
    .foot { flex-wrap: wrap; } .notice { order: 4; margin: 1rem; } .hint { order: 0; margin: 0; }
  }
  @media print {
    :host([teaching]) { display: block; height: auto; overflow: visible; background: #fff; }
    :host([teaching]) > :not(main), :host([teaching]) main > :not(.panel) { display: none; }
  }
`;
