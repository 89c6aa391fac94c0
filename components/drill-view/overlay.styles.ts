import { css } from 'lit';

/** What lies over the drawing: numbers, tags, and the parts as buttons; and how all of it does without colors. */
export const overlayStyles = css`
  .readout, .tags, .parts, .pairs { font-size: max(0.92rem, 2.05cqh); }
  /* For the last row of a class. */
  :host([teaching]) :is(.readout, .tags, .parts, .pairs) { font-size: max(15px, 0.92rem, 2.05cqh); }
  .readout { position: absolute; line-height: 1.18; white-space: nowrap; pointer-events: none; }
  .readout b { display: block; font-size: 1.3em; font-weight: 650; letter-spacing: -0.005em; }
  .readout small { display: block; font-size: 1em; color: var(--ink2); }
  .readout.wrist b { font-size: 1em; font-weight: 400; color: var(--ink2); }
  .readout.wrist.alarm b { font-weight: 750; color: var(--ink); }
  .readout.torque.alarm small:last-child { font-weight: 700; color: var(--ink); }
  .tags { position: absolute; display: flex; flex-direction: column; gap: 2px; align-items: flex-start; pointer-events: none; z-index: 2; }
  .tag {
    font-weight: 600; line-height: 1.2;
    background: var(--paper); border: 1.5px solid var(--ink); padding: 0.02rem 0.4rem;
  }
  .tag.of-tape { border-left: 0.6rem solid; border-image: repeating-linear-gradient(-45deg, var(--tape) 0 0.3rem, var(--on-tape) 0.3rem 0.6rem) 1 1 1 8 / 1.5px 1.5px 1.5px 0.6rem; }
  .parts { list-style: none; margin: 0; padding: 0; position: absolute; inset: 0; pointer-events: none; }
  .parts button {
    position: absolute; background: none; border: 0; padding: 0; pointer-events: auto; min-width: 24px; min-height: 24px; border-radius: 3px;
    font-size: 1em;
  }
  /* Low parts that lie one over the other grow away from each other. */
  @media (pointer: coarse) { .parts button { min-width: 44px; min-height: 44px; } .parts [data-part='board'] { transform: translateY(calc(-1 * max(0px, 44px - 5.25cqh))); } }
  .parts button:hover { outline: 1.5px dashed var(--ink); }
  .parts button:focus-visible { outline: 3px solid var(--ink); }
  /* Outside of a tape, with a gap of paper: it stands out from the drawing, light or dark. */
  .parts .named:not(:focus-visible) { outline: 3px solid var(--ink); outline-offset: 6px; box-shadow: 0 0 0 6px color-mix(in srgb, var(--paper) 70%, transparent); border-radius: 6px; }
  .parts span {
    position: absolute; left: 0; top: 0; background: var(--paper); border: 1px solid var(--ink); padding: 0.05rem 0.4rem; white-space: nowrap;
    line-height: 1.3; opacity: 0; z-index: 3; pointer-events: none;
  }
  .parts button:hover span, .parts button:focus-visible span { opacity: 1; }
  .parts li:nth-child(-n + 3) span { left: auto; right: 0; }
  .pairs { position: absolute; left: 0.35rem; top: 44.6%; width: 4.8em; line-height: 1.15; padding: 0.15rem 0.2rem; white-space: normal; }
  /* Where the stage is low, the second line of what is least urgent makes room. */
  @container (max-height: 515px) { :is(.readout.phase, .readout.pack) small:last-child { display: none; } }
  @container (max-height: 640px) { :host([teaching]) :is(.readout.phase, .readout.pack) small:last-child { display: none; } }
  @media (forced-colors: active) {
    :host {
      --ink: CanvasText; --ink2: CanvasText; --edge: CanvasText; --rule: CanvasText; --paper: Canvas; --ground: Canvas; --shell: Canvas;
      --shell-lit: Canvas; --shell-dark: Canvas; --steel: Canvas; --steel-lit: Canvas; --steel-dark: Canvas; --cut: Canvas; --pine: Canvas;
      --larch: Canvas; --pine-grain: CanvasText; --larch-grain: CanvasText; --skin: Canvas; --a: CanvasText; --b: CanvasText;
      --c: CanvasText; --e: CanvasText; --i: CanvasText; --tape: Canvas; --on-tape: CanvasText;
    }
    :is(.coil, .coil-all):is(.p0, .p1, .p2) { fill: none; } .soft { opacity: 0; }
    .pairs[aria-pressed='true'] { forced-color-adjust: none; background: Highlight; color: HighlightText; }
  }
  @media print {
    :host {
      --ink: #000; --ink2: #000; --edge: #000; --rule: #000; --paper: #fff; --ground: #fff; --shell: #fff; --shell-lit: #fff; --shell-dark: #fff;
      --steel: #fff; --steel-lit: #fff; --steel-dark: #fff; --cut: #fff; --pine: #fff; --larch: #fff; --pine-grain: #000; --larch-grain: #000;
      --skin: #fff; --a: #000; --b: #000; --c: #000; --e: #000; --i: #000; --tape: #fff; --on-tape: #000;
    }
    .soft { opacity: 0; } .pairs, .parts { display: none; }
  }
`;
