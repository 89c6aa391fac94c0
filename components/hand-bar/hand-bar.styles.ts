import { css } from 'lit';

export const handStyles = css`
  :host {
    display: flex; gap: 0.95rem; align-items: flex-end; padding: 0.5rem 0.75rem 0.6rem; background: var(--ground);
    border-top: 1px solid var(--rule);
  }
  .ctl { display: flex; flex-direction: column; gap: 0.3rem; min-width: 0; flex: none; }
  .ctl > label, .lab { font-size: 0.92rem; color: var(--ink2); white-space: nowrap; display: flex; justify-content: space-between; gap: 0.6rem; min-height: 1.3rem; align-items: baseline; }
  .ctl b { color: var(--ink); font-weight: 650; font-size: 0.95rem; }
  em { font-style: normal; margin-left: 0.3rem; }
  label > span { overflow: hidden; text-overflow: ellipsis; min-width: 0; }
  .row { display: flex; gap: 0.5rem; } .sets { display: contents; }
  .lab.near { justify-content: flex-start; }
  .unfold { display: none; }
  .key[disabled], .hold[disabled] { opacity: 0.5; cursor: default; }

  /* Drawn parts: the ink and the light of the drill. */
  .pic { display: block; height: 1.75rem; width: auto; } .pic path { stroke-linejoin: round; stroke-linecap: round; }
  .pic .shell { fill: var(--shell); stroke: var(--ink); stroke-width: 1.7; } .pic .seam { fill: none; stroke: var(--ink); stroke-width: 0.9; opacity: 0.65; }
  .pic .blade { fill: var(--shell-dark); stroke: var(--ink); stroke-width: 1.7; } .pic .steel { fill: var(--steel); stroke: var(--ink); stroke-width: 1.3; }
  .pic .wood { fill: var(--pine); stroke: var(--ink); stroke-width: 1.2; } .pic .hatch { fill: var(--cut); stroke: var(--ink); stroke-width: 1.3; }
  .pic .line { fill: none; stroke: var(--ink); stroke-width: 1; } .pic .gap { fill: var(--paper); stroke: var(--ink); stroke-width: 1; }
  .pic .skin { fill: var(--skin); stroke: var(--ink); stroke-width: 1.3; }
  .sign { width: 0.8rem; height: 0.8rem; margin-right: 0.35rem; vertical-align: -0.06rem; fill: currentColor; }

  .hold {
    background: var(--paper); border: 1.8px solid var(--ink); border-radius: 2px; padding: 0.15rem 0.3rem; height: 3.3rem; flex: none; touch-action: none;
    user-select: none; -webkit-user-select: none; -webkit-touch-callout: none;
  }
  .hold .pic { height: 2.75rem; }
  .hold:active { background: var(--shell); }
  .pull { flex: 1 1 10rem; min-width: 9.5rem; margin-left: -0.35rem; }

  .rocker, .slide { border: 1.8px solid var(--ink); border-radius: 4px; background: var(--shell); padding: 2px; }
  .rocker .key, .slide .key { border: 0; border-radius: 2px; background: none; margin: 0; min-height: calc(2.15rem - 7px); padding: 0 0.6rem; }
  .rocker .key:hover, .slide .key:hover { background: var(--shell-lit); }
  .rocker .key[aria-pressed='true'] { background: var(--ink); }
  /* The slide of the gears: a ridged lug stands over the gear that is in. */
  .slide .key { min-width: 2.1rem; }
  .slide .key[aria-pressed='true'] {
    color: var(--ink); font-weight: 700; box-shadow: inset 0 0 0 1.6px var(--ink);
    background: linear-gradient(var(--paper), var(--paper)) center / 1.1rem 72% no-repeat, repeating-linear-gradient(90deg, var(--ink) 0 1.2px, var(--steel) 1.2px 4px);
  }
  .tile { padding: 0 0.28rem; display: grid; place-items: center; min-width: 2.15rem; }
  .tile[aria-pressed='true'] { background: var(--paper); box-shadow: inset 0 0 0 2.5px var(--ink); border-color: var(--ink); }
  .gripper { display: flex; align-items: center; gap: 0.4rem; padding: 0 0.6rem 0 0.4rem; }
  .gripper .pic { height: 1.6rem; } .gripper[aria-pressed='true'] .pic { --steel: var(--paper); }

  input[type='range'] { appearance: none; width: 100%; height: 2.15rem; background: none; margin: 0; cursor: grab; touch-action: pan-y; }
  input[type='range']:active { cursor: grabbing; }
  input[type='range']::-webkit-slider-runnable-track {
    height: 1.25rem; border: 1.8px solid var(--ink); border-radius: 2px;
    background:
      repeating-linear-gradient(90deg, var(--edge) 0 1px, transparent 1px 10%) left bottom / calc(100% - 1.4rem) 45% no-repeat content-box,
      linear-gradient(90deg, var(--ink) var(--share, 0%), var(--paper) var(--share, 0%));
    padding: 0 0.7rem;
  }
  input[type='range']::-webkit-slider-thumb {
    appearance: none; width: 1.5rem; height: 2.15rem; margin-top: -0.56rem; border: 1.8px solid var(--ink); border-radius: 3px 3px 8px 8px;
    background: repeating-linear-gradient(90deg, transparent 0 0.22rem, var(--ink) 0.22rem 0.3rem) center / 0.98rem 55% no-repeat, linear-gradient(90deg, var(--steel), var(--steel-lit) 40%, var(--steel-dark));
  }
  input[type='range']::-moz-range-track {
    height: 1.15rem; border: 1.8px solid var(--ink); border-radius: 2px;
    background: linear-gradient(90deg, var(--ink) var(--share, 0%), var(--paper) var(--share, 0%));
  }
  input[type='range']::-moz-range-thumb { width: 1.2rem; height: 1.9rem; background: var(--steel-lit); border: 1.8px solid var(--ink); border-radius: 3px 3px 8px 8px; }

  @media (max-width: 1440px) { :host { gap: 0.75rem; } .key { padding: 0.2rem 0.5rem; } }
  @media (max-width: 1240px) {
    :host { flex-wrap: wrap; row-gap: 0.45rem; position: relative; } .unfold { display: block; order: 1; margin-left: auto; } .sets { display: none; order: 2; }
    :host([more]) .sets {
      display: flex; gap: 1.2rem; position: absolute; right: 0; bottom: 100%; z-index: 5; padding: 0.5rem 0.75rem 0.6rem; background: var(--ground);
      border: 1px solid var(--edge); border-right: 0;
    } .pull { flex-basis: 8rem; min-width: 7rem; }
  }
  @media (max-width: 640px) {
    :host {
      position: sticky; bottom: 0; z-index: 4; gap: 0.5rem 0.6rem; padding: 0.4rem 0.6rem 0.5rem; border-top: 1.5px solid var(--edge);
    }
    .hold { height: 3.6rem; padding: 0.2rem 0.8rem; } .hold .pic { height: 3rem; }
    .pull { flex: 1 1 55%; } input[type='range'] { height: 2.75rem; } input[type='range']::-webkit-slider-thumb { height: 2.75rem; margin-top: -0.82rem; width: 2rem; }
    .unfold { order: 0; } .extra { display: none; order: 2; } :host([more]) .extra { display: flex; flex: 1 1 auto; } :host([more]) .sets { display: contents; }
    em { display: none; } .key { min-height: 2.75rem; padding: 0 0.6rem; } .lab { display: none; } .extra .lab { display: flex; }
    .rocker .key, .slide .key { min-height: 44px; } .slide .key { min-width: 44px; } .tile { min-width: 44px; }
    :host([more]) { max-height: 62dvh; overflow: auto; }
  }
  @media (pointer: coarse) { .rocker .key, .slide .key, .tile { min-height: 44px; } .tile, .slide .key { min-width: 44px; } .hold { height: 4.2rem; } input[type='range'] { height: 44px; } }
  @media (forced-colors: active) {
    :host {
      --ink: CanvasText; --paper: Canvas; --shell: Canvas; --shell-lit: Canvas; --shell-dark: Canvas; --steel: Canvas; --steel-lit: Canvas;
      --steel-dark: Canvas; --pine: Canvas; --cut: Canvas; --skin: Canvas; --edge: CanvasText;
    }
    .key[aria-pressed='true'], .rocker .key[aria-pressed='true'], .slide .key[aria-pressed='true'] {
      forced-color-adjust: none; background: Highlight; color: HighlightText; --ink: HighlightText; --paper: Highlight; --steel: Highlight;
    }
  }
  @media print { :host { display: none; } }
`;
