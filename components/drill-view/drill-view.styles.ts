import { css } from 'lit';

export const drillStyles = css`
  /* A projector of 1024 px shows thin lines as gray. */
  :host { --bold: 1; } @media (min-width: 641px) and (max-width: 1180px) { :host { --bold: 1.4; } }
  :host { display: grid; place-items: center; background: var(--paper); overflow: hidden; container-type: size; }
  /* The drawing keeps its shape in whatever room it is given; what lies over it goes by the drawing. */
  .drawing { position: relative; aspect-ratio: 500 / 800; height: min(100cqh, 160cqw); container-type: size; }
  svg { display: block; width: 100%; height: 100%; }
  text { font: 600 16px var(--text); fill: var(--ink); text-anchor: middle; }
  .s-dark { stop-color: var(--shell-dark); } .s-mid { stop-color: var(--shell); } .s-lit { stop-color: var(--shell-lit); }
  .m-dark { stop-color: var(--steel-dark); } .m-mid { stop-color: var(--steel); } .m-lit { stop-color: var(--steel-lit); }
  .shell { fill: url(#shell); stroke: var(--ink); stroke-width: calc(1.8px * var(--bold)); stroke-linejoin: round; }
  .shell.arm, .shell.pack { fill: url(#arm); } .shell.dark { fill: var(--shell-dark); }
  .soft { fill: var(--shell-dark); stroke: none; opacity: 0.75; }
  .steel { fill: url(#steel); stroke: var(--ink); stroke-width: calc(1.5px * var(--bold)); stroke-linejoin: round; }
  .thin { fill: none; stroke: var(--ink); stroke-width: calc(1px * var(--bold)); opacity: 0.6; }
  .vents { fill: none; stroke: var(--ink); stroke-width: calc(3.4px * var(--bold)); stroke-linecap: round; opacity: 0.5; }
  .knurl { fill: url(#knurl); } .cut { fill: url(#cut); stroke: var(--ink); stroke-width: calc(1.5px * var(--bold)); }
  .cut-base { fill: var(--cut); } .cut-line { stroke: var(--ink2); stroke-width: calc(0.9px * var(--bold)); fill: none; }
  .inside { fill: var(--shell-dark); stroke: var(--ink); stroke-width: calc(1px * var(--bold)); }
  .leads path { fill: none; stroke: var(--ink2); stroke-width: calc(1px * var(--bold)); } .leads circle { fill: var(--ink); stroke: var(--paper); stroke-width: calc(1.2px * var(--bold)); }
  .cell { fill: var(--paper); stroke: var(--ink); stroke-width: calc(1.2px * var(--bold)); } .charge { fill: var(--ink2); }
  .fet { fill: var(--paper); stroke: var(--ink); stroke-width: calc(1.3px * var(--bold)); }
  :is(.on, .coil, .coil-all).p0 { fill: var(--a); } :is(.on, .coil, .coil-all).p1 { fill: var(--b); } :is(.on, .coil, .coil-all).p2 { fill: var(--c); }
  .on { stroke: none; }
  .switches text { font-size: 15px; }
  .direction circle { fill: var(--paper); stroke: var(--ink); stroke-width: calc(1.5px * var(--bold)); } .direction path { fill: var(--ink); }
  .steel-flat { fill: var(--steel); stroke: var(--ink); stroke-width: calc(2px * var(--bold)); }
  .slot { fill: var(--paper); stroke: var(--ink); stroke-width: calc(1.1px * var(--bold)); }
  .bore { fill: var(--paper); stroke: var(--ink); stroke-width: calc(1.3px * var(--bold)); }
  .rotor { fill: url(#rotor); stroke: var(--ink); stroke-width: calc(1.4px * var(--bold)); }
  .north { fill: var(--ink); } .south { fill: var(--paper); stroke: var(--ink); stroke-width: calc(1.4px * var(--bold)); }
  .psi { fill: none; stroke: var(--ink); stroke-width: calc(2.4px * var(--bold)); stroke-linecap: round; stroke-linejoin: round; }
  .cross-axis { fill: none; stroke: var(--ink); stroke-width: calc(0.9px * var(--bold)); stroke-dasharray: 9 3 2 3; opacity: 0.45; }
  .lead-wedge { fill: var(--i); opacity: 0.22; }
  .arrow { fill: var(--i); stroke: var(--i); stroke-width: calc(2px * var(--bold)); stroke-linejoin: round; }
  .hub { fill: var(--ink); }
  .letter circle, .flow circle, .badge circle { fill: var(--paper); stroke: var(--ink); stroke-width: calc(1.2px * var(--bold)); }
  .letter text { font-size: 15px; } .flow path { fill: none; stroke: var(--ink); stroke-width: calc(2px * var(--bold)); stroke-linecap: round; }
  .flow path[d^='M-.'] { stroke-width: calc(5.5px * var(--bold)); }
  .badge.dark circle { fill: var(--paper); } .badge text { font-size: 15px; }
  .band { fill: var(--steel-dark); opacity: 0.4; } .teeth { fill: none; stroke: var(--ink); stroke-width: calc(1.1px * var(--bold)); opacity: 0.75; }
  .carrier { fill: var(--steel-dark); stroke: var(--ink); stroke-width: calc(0.9px * var(--bold)); }
  .ribs { fill: none; stroke: var(--ink); stroke-width: calc(1.2px * var(--bold)); opacity: 0.7; } .rib-band { fill: var(--steel-dark); opacity: 0.35; }
  .holes { fill: var(--ink); } .way { fill: none; stroke: var(--ink); stroke-width: calc(2.2px * var(--bold)); stroke-linecap: round; stroke-linejoin: round; }
  .flats { fill: none; stroke: var(--ink); stroke-width: calc(0.9px * var(--bold)); opacity: 0.7; }
  .thread { fill: none; stroke: var(--ink); stroke-width: calc(1.7px * var(--bold)); stroke-linecap: round; } .thread-band { fill: var(--steel-dark); opacity: 0.55; stroke: var(--ink); stroke-width: calc(1px * var(--bold)); }
  .pine { fill: var(--pine); } .larch { fill: var(--larch); }
  .pine-grain, .larch-grain { fill: none; stroke-width: calc(1.3px * var(--bold)); opacity: 0.8; } .pine-grain { stroke: var(--pine-grain); } .larch-grain { stroke: var(--larch-grain); }
  .joint { stroke: var(--ink); stroke-width: calc(1.1px * var(--bold)); } .edge { stroke: var(--ink); stroke-width: calc(2.4px * var(--bold)); }
  .bore-hole { fill: var(--paper); opacity: 0.85; stroke: var(--ink); stroke-width: calc(0.9px * var(--bold)); } .notches { fill: var(--paper); stroke: var(--ink); stroke-width: calc(0.6px * var(--bold)); }
  .chip rect { fill: var(--paper); stroke: var(--ink); stroke-width: calc(1.3px * var(--bold)); } .chip text { font-size: 19px; }
  .hand path, .hand rect { fill: var(--skin); stroke: var(--ink); stroke-width: calc(1.6px * var(--bold)); } .hand .nails { fill: none; stroke-width: calc(1px * var(--bold)); opacity: 0.65; }
  .hand .sleeve { fill: var(--shell-dark); }
  .screw, .bit, .bit-tip, .stop-block, .joint-block, .drill-bit, .bore-work { display: none; }
  :host([data-meets='screw']) :is(.screw, .bit), :host([data-meets='stop']) :is(.stop-block, .bit), :host([data-meets='nothing']) :is(.bit, .bit-tip),
  :host([data-meets='joint']) :is(.joint-block, .bit), :host(:is([data-meets='wood'], [data-meets='steel'])) :is(.bore-work, .drill-bit) { display: inline; }
  .stop-block .cut, .joint-block .cut { stroke-width: calc(1.8px * var(--bold)); }
  .plate { fill: url(#cut); stroke: var(--ink); stroke-width: calc(1.6px * var(--bold)); } .bored-hole { fill: var(--paper); stroke: var(--ink); stroke-width: calc(1px * var(--bold)); }
  .flutes { fill: none; stroke: var(--ink); stroke-width: calc(1.5px * var(--bold)); }
  .warm, .leg-warm { fill: none; stroke: var(--ink); stroke-width: calc(1.1px * var(--bold)); opacity: 0.85; }
  .fet[data-lot='short'] { fill: var(--ink); } .broken { display: none; fill: none; stroke: var(--paper); stroke-width: calc(2.2px * var(--bold)); }
  .fet[data-lot='short'] + .on + .broken { display: inline; } .fet[data-lot='open'] { stroke-dasharray: 3 2.4; }
  .ghost { fill: none; stroke: var(--e); stroke-width: calc(2.4px * var(--bold)); stroke-dasharray: 7 4; }
  .arrow-e { fill: none; stroke: var(--e); stroke-width: calc(2.6px * var(--bold)); stroke-dasharray: 7 4; stroke-linecap: butt; }
  .guess-letter circle { stroke: var(--e); stroke-dasharray: 4 2.4; stroke-width: calc(1.8px * var(--bold)); }
  .all { display: none; } :host([whole]) .all { display: inline; } :host([whole]) .one { display: none; }
  :host([veiled]) .truth { display: none; }
  .clutch-marks { fill: none; stroke: var(--ink); stroke-width: calc(1px * var(--bold)); opacity: 0.65; } .pointer { fill: var(--ink); }
  .fan, .fan-end { fill: none; stroke: var(--ink2); stroke-width: calc(1.1px * var(--bold)); } .fan-ease, .fan-past { fill: none; stroke: var(--ink); stroke-width: calc(1.8px * var(--bold)); }
  .needle .tip { fill: none; stroke: var(--ink); stroke-width: calc(2px * var(--bold)); } .vice { fill: url(#cut); stroke: var(--ink); stroke-width: calc(1.2px * var(--bold)); }
  .hazard-light { fill: var(--tape); } .hazard-dark { fill: var(--on-tape); }
  .tape { fill: none; display: none; stroke: url(#hazard); stroke-width: calc(6px * var(--bold)); } .tape[data-state='armed'], .tape[data-state='active'] { display: inline; }
  .tape[data-state='armed'] { stroke-width: calc(3px * var(--bold)); stroke-dasharray: 12 6; }
`;
