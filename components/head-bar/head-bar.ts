import { css, html, LitElement, nothing, svg } from 'lit';
import { PANELS } from '../spindle-page/panels.ts';
import { PANEL_LABELS } from '../spindle-page/words.ts';
import { shared } from '../style/shared.ts';

/** What the head says; renewed five times a second by the page. */
export interface HeadFacts {
  readonly job: string;
  readonly jobDetail: string;
  readonly controller: string;
  readonly coupling: string;
  readonly state: string;
  readonly stateDetail: string;
  /** How many faults are armed or active, '' for none. */ readonly faults: string;
  /** Frames of the link that went wrong. */ readonly troubles: number;
  /** The controller is lost. */ readonly gone: boolean;
  /** Virtual time lost since the start [s]. */ readonly lost_s: number;
}

/** What it says before the drill has said anything. */
export const WAITING: HeadFacts = {
  job: 'Garden bench, by hand',
  jobDetail: '',
  controller: 'Built-in controller',
  coupling: 'Starting.',
  state: 'Starting',
  stateDetail: '',
  faults: '',
  troubles: 0,
  gone: false,
  lost_s: 0,
};

/** A state of more letters takes two smaller lines [characters]. */
const LONG = 18;

/**
 * Name, job, coupling, state, day or night, and Stop in the corner; what is slotted stands under it, and stays in sight with it.
 *
 * @fires stop - the person wants everything to stop
 * @fires theme - day or night was asked for
 * @fires panel - detail: id of the panel that was asked for, or is to go away
 */
export class HeadBar extends LitElement {
  static override styles = [
    shared,
    css`
      :host { display: block; background: var(--ground); border-bottom: 1px solid var(--edge); line-height: 1.2; }
      .bar { display: flex; align-items: stretch; min-height: 3.5rem; }
      .mark { display: flex; align-items: center; gap: 0.6rem; padding: 0 1.4rem 0 0.75rem; }
      .mark svg { height: 2.1rem; width: 2.1rem; flex: none; }
      h1 { font: 650 1.22rem/1 var(--text); margin: 0; white-space: nowrap; letter-spacing: -0.01em; }
      .fact { display: flex; flex-direction: column; justify-content: center; padding: 0 1.1rem; min-width: 0; }
      .fact b { font-weight: 600; white-space: nowrap; overflow: hidden; text-overflow: ellipsis; line-height: 1.15; }
      /* What goes wrong is never cut: it takes a second line, for which there is room. */
      .fact small { font-size: 0.92rem; line-height: 1.12; color: var(--ink2); } .lost { white-space: nowrap; }
      .job { padding-left: 0; flex: none; } .job small { white-space: nowrap; }
      .link {
        margin-left: auto; flex: 0 1 auto; background: none; border: 0; border-left: 1px solid var(--rule); text-align: left;
        box-shadow: inset 0 -2px 0 transparent;
      }
      .link:hover { box-shadow: inset 0 -2px 0 var(--edge); } .link[aria-expanded='true'] { box-shadow: inset 0 -2px 0 var(--ink); }
      .link:focus-visible { outline-offset: -4px; }
      .cord { display: flex; gap: 0.9rem; align-items: center; } .cord .fact { padding: 0; }
      .cord svg { width: 4.2rem; height: 1.6rem; flex: none; }
      .state { border-left: 1px solid var(--rule); flex: 0 0 16rem; } .state b { font-size: 1.2rem; font-weight: 650; }
      .state b.long { font-size: 0.95rem; line-height: 1.05; white-space: normal; }
      .tools { display: flex; align-items: center; padding: 0 0.75rem; border-left: 1px solid var(--rule); }
      .flat { background: none; border: 0; border-bottom: 2px solid transparent; padding: 0.35rem 0.5rem; min-height: 2.15rem; }
      .flat:hover { border-bottom-color: var(--edge); } .flat[aria-expanded='true'] { border-bottom-color: var(--ink); }
      /* First for those who hear or tab through the page, last for the eye: the corner. */
      .stop {
        order: 9; background: var(--stop); color: var(--on-stop); border: 0; min-width: 8.2rem; padding: 0 1.4rem; font-weight: 700;
        font-size: 1.3rem; line-height: 1.05;
      }
      .stop:hover { filter: brightness(1.1); }
      .stop:focus-visible { outline-color: var(--on-stop); outline-offset: -6px; }
      .stop small { display: block; font-size: 0.92rem; font-weight: 500; margin-top: 0.15rem; }
      .faults { color: var(--ink); font-weight: 600; }
      .lost { color: var(--ink); font-weight: 600; }
      @media (max-width: 1500px) { .cord svg { width: 3.2rem; } }
      @media (max-width: 1300px) { .cord svg { display: none; } .state { flex-basis: 14rem; } }
      @media (max-width: 1240px) { .job { display: none; } .fact { padding: 0 0.8rem; } .mark { padding-right: 0.8rem; } }
      @media (max-width: 1180px) { .state { flex-basis: 12rem; } }
      @media (max-width: 640px) {
        :host { position: sticky; top: 0; z-index: 5; }
        .bar { flex-wrap: wrap; }
        /* Coupling, share of life and lost time are never hidden: they take a line of their own. */
        .link { order: 10; flex: 1 1 100%; border-left: 0; border-top: 1px solid var(--rule); padding: 0.2rem 0.6rem; }
        .link .fact { flex-direction: row; flex-wrap: wrap; justify-content: flex-start; align-items: baseline; column-gap: 0.6rem; } .mark { padding: 0 0.4rem 0 0.6rem; } .mark svg { display: none; } .flat { padding: 0.35rem 0.3rem; } h1 { font-size: 1rem; white-space: normal; }
        .state { flex: 1 1 0; padding: 0 0.4rem; } .state b { font-size: 0.9rem; } .state b, .state small { white-space: normal; } .tools { order: 12; flex: 1 1 100%; flex-wrap: wrap; justify-content: space-between; padding: 0 0.3rem; border: 0; border-top: 1px solid var(--rule); }
        .faults { display: none; }
        .stop { min-width: 5rem; min-height: 3rem; padding: 0 0.6rem; }
      }
    `,
  ];
  static override properties = {
    facts: { attribute: false },
    night: { type: Boolean },
    open: { attribute: false },
  };
  declare facts: HeadFacts;
  declare night: boolean;
  /** Id of the panel that is open, '' for none. */ declare open: string;

  constructor() {
    super();
    this.facts = WAITING;
    this.night = false;
    this.open = '';
  }

  /** Puts the focus where a panel is opened. */
  focusPanel(id: string): void {
    this.renderRoot.querySelector<HTMLButtonElement>(`[data-panel='${id}']`)?.focus();
  }

  override render() {
    const f = this.facts;
    return html`<div class="bar">
      <button class="stop" aria-keyshortcuts="Escape" @click=${() => this.dispatchEvent(new CustomEvent('stop'))}>Stop <small>Esc</small></button>
      <div class="mark">
        <svg viewBox="0 0 42 42" aria-hidden="true" fill="none" stroke="currentColor">
          <circle cx="21" cy="21" r="18" stroke-width="2.4" stroke-dasharray="8 3.6" />
          <path d="M21 4V38" stroke-width="1.6" /><path d="M21 12A9 9 0 0 1 21 30Z" fill="currentColor" stroke-width="1.6" />
          <path d="M21 12A9 9 0 0 0 21 30" stroke-width="1.6" />
        </svg>
        <h1>Phantom Spindle</h1>
      </div>
      <div class="fact job"><b>${f.job}</b><small>${f.jobDetail}</small></div>
      <button class="fact link" data-panel="who" aria-expanded=${this.open === 'who'} title="${PANEL_LABELS.who}: ${f.controller}" @click=${() => this.ask('who')}>
        <span class="cord">
          <svg viewBox="0 0 84 32" aria-hidden="true" fill="none" stroke="currentColor" stroke-width="1.6">
            <path d="M1 6H25V26H1Z" fill="var(--paper)" /><path d="M7 6V2M13 6V2M19 6V2M7 30V26M13 30V26M19 30V26" />
            <path d="M83 8H61L49 12V20L61 24H83ZM69 8V24" />
            ${f.gone ? svg`<path d="M25 16H30M44 16H49M32 11L42 21M42 11L32 21" stroke-width="2" />` : svg`<path d="M25 16H46M41 12L46 16L41 20" />`}
          </svg>
          <span class="fact"><b><span class="away">Who drives: </span>${f.controller}</b><small>${f.coupling}${f.lost_s > 0 ? html` <span class="lost">Lost time: ${lost(f.lost_s)}.</span>` : nothing}${f.troubles > 0 ? html` <span class="lost">▲ ${f.troubles} frames.</span>` : nothing}</small></span>
        </span>
      </button>
      <div class="fact state"><b class=${f.state.length > LONG ? 'long' : ''}>${f.state}</b><small>${f.faults ? html`<span class="faults">${f.faults}, </span>` : nothing}${f.stateDetail}</small></div>
      <div class="tools">
        ${PANELS.filter(({ inHead }) => inHead).map(
          ({ id }) =>
            html`<button class="flat" data-panel=${id} aria-expanded=${this.open === id} @click=${() => this.ask(id)}>${PANEL_LABELS[id]}</button>`,
        )}
        <button class="flat" @click=${() => this.dispatchEvent(new CustomEvent('theme'))}>${this.night ? 'Day' : 'Night'}</button>
      </div></div>
      <slot></slot>
    `;
  }

  private ask(id: string): void {
    this.dispatchEvent(new CustomEvent('panel', { detail: id }));
  }
}

/** Milliseconds while it is short, seconds beyond. */
function lost(lost_s: number): string {
  return lost_s < 1 ? `${Math.max(1, Math.round(lost_s * 1000))} ms` : `${lost_s.toFixed(1)} s`;
}

customElements.define('head-bar', HeadBar);
declare global {
  interface HTMLElementTagNameMap {
    'head-bar': HeadBar;
  }
}
