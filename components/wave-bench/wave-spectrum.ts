import { html, LitElement, nothing } from 'lit';
import type { Channel } from '../../worker/api.ts';
import { shared } from '../style/shared.ts';
import { readPalette } from '../waves/palette.ts';
import { roundScale } from './axis.ts';
import type { ChannelInfo } from './channels.ts';
import type { Past } from './feed.ts';
import { measure } from './measure.ts';
import { figure, hertz, roundly } from './numbers.ts';
import { paneStyles } from './pane.styles.ts';
import { across, frameOf, paintAxes, up } from './plot.ts';
import { multipleOf, type Peak, peaks, SAMPLES_MOST, type Spectrum, spectrum } from './spectrum.ts';
import { WORDS } from './words.ts';

/** The rotor turns evenly enough when its speed stays within this share of its mean. */
const EVEN = 0.1;
/** While time runs, this much of it is taken apart [s]; the table of the transform grows with it. */
const LIVE_S = 1;
const LINES = 8;
/** A trace that never comes above this is at rest, in its unit. */
const NOTHING = 1e-6;
/** Lines below this share of the highest are not named. */
const FLOOR = 0.02;
/** Decades of the logarithmic scale. */
const DECADES = 5;
const RANGES_HZ = [500, 2000, 5000, 10_000] as const;

/** What a trace is made of, between the marks or in sight. */
export class WaveSpectrum extends LitElement {
  static override styles = [shared, paneStyles];
  static override properties = {
    past: { attribute: false },
    infos: { attribute: false },
    from_s: { attribute: false },
    to_s: { attribute: false },
    live: { attribute: false },
    chosen: { state: true },
    most_Hz: { state: true },
    log: { state: true },
    result: { state: true },
  };
  declare past: Past | undefined;
  declare infos: readonly ChannelInfo[];
  declare from_s: number;
  declare to_s: number;
  declare live: boolean;
  declare private chosen: Channel | undefined;
  declare private most_Hz: number;
  declare private log: boolean;
  declare private result: Result | undefined;
  private busy = false;

  constructor() {
    super();
    this.infos = [];
    this.from_s = 0;
    this.to_s = 0;
    this.live = false;
    this.most_Hz = 2000;
    this.log = false;
  }

  /** Takes the stretch apart again. */
  async refresh(): Promise<void> {
    const { past, info } = this;
    if (!past || !info || this.busy || !(this.to_s > this.from_s)) return;
    this.busy = true;
    try {
      const from_s = this.live ? Math.max(this.from_s, this.to_s - LIVE_S) : this.from_s;
      const channels = [info.channel, 'electricalSpeed'] as const;
      const looked = await past.look({ run: 'now', channels, from_s, to_s: this.to_s, points: SAMPLES_MOST });
      const [data, speed] = looked.data;
      const found = looked.kind === 'values' ? spectrum(data, looked.step_s) : undefined;
      const turns = looked.kind === 'values' ? measure(speed, 0, speed.length, looked.step_s) : undefined;
      const even = turns && turns.highest - turns.lowest < EVEN * Math.abs(turns.mean);
      const electrical_Hz = even ? Math.abs(turns.mean) / (2 * Math.PI) : Number.NaN;
      this.result = { info, span_s: looked.to_s - looked.from_s, found, electrical_Hz };
    } finally {
      this.busy = false;
    }
  }

  private get info(): ChannelInfo | undefined {
    return this.infos.find(({ channel }) => channel === this.chosen) ?? this.infos.find(preferred) ?? this.infos[0];
  }

  protected override updated(): void {
    this.draw();
  }

  override render() {
    const { info, result } = this;
    if (!info) return html`<p class="says">${WORDS.nothing}</p>`;
    const { found } = result ?? {};
    return html`
      <div class="row">
        <label>${WORDS.spectrumOf} <select @change=${this.choose}>${this.infos.map(
          ({ channel, name }) => html`<option value=${channel} ?selected=${channel === info.channel}>${name}</option>`,
        )}</select></label>
        <div class="group" role="group" aria-label=${WORDS.upTo}>${RANGES_HZ.map(
          (most) =>
            html`<button class="key" aria-pressed=${this.most_Hz === most} @click=${() => {
              this.most_Hz = most;
            }}>${most / 1000}\u202fkHz</button>`,
        )}</div>
        <button class="key" aria-pressed=${this.log} @click=${() => {
          this.log = !this.log;
        }}>${WORDS.logarithmic}</button>
      </div>
      <canvas aria-hidden="true"></canvas>
      ${
        result && found
          ? html`<p class="says">${WORDS.spectrumSays(roundly(result.span_s), hertz(found.width_Hz))}.
              ${Number.isNaN(result.electrical_Hz) ? WORDS.noElectrical : `${WORDS.electrical(hertz(result.electrical_Hz))}.`}</p>
            ${this.lines(result, found)}`
          : result
            ? html`<p class="says">${WORDS.spectrumNone}</p>`
            : nothing
      }
    `;
  }

  private lines(result: Result, found: Spectrum) {
    const { factor, unit } = result.info;
    return html`<div class="table" tabindex="0" role="region" aria-label=${WORDS.lines}><table>
      <thead><tr><th scope="col">${WORDS.line}</th><th scope="col">${WORDS.amplitude}</th><th scope="col">${WORDS.multiple}</th></tr></thead>
      <tbody>${this.named(found).map(
        (peak) =>
          html`<tr><th scope="row">${hertz(peak.at_Hz)}</th><td>${figure(peak.amplitude / factor, 3)} ${unit}</td><td>${timesOf(peak, found, result.electrical_Hz)}</td></tr>`,
      )}</tbody></table></div>`;
  }

  private named(found: Spectrum): Peak[] {
    let most = 0;
    for (const value of found.amplitude) most = Math.max(most, value);
    return most > NOTHING ? peaks(found, LINES, most * FLOOR) : [];
  }

  private readonly choose = (e: Event): void => {
    this.chosen = (e.target as HTMLSelectElement).value as Channel;
    this.result = undefined;
    void this.refresh();
  };

  private draw(): void {
    const canvas = this.renderRoot.querySelector('canvas');
    const g = canvas?.getContext('2d');
    const { result } = this;
    if (!canvas || !g) return;
    const frame = frameOf(canvas, readPalette());
    if (!frame || !result?.found) return;
    const { amplitude, step_Hz } = result.found;
    const { factor, unit } = result.info;
    const end = Math.min(amplitude.length, Math.ceil(this.most_Hz / step_Hz) + 1);
    let most = 0;
    for (let k = 0; k < end; k++) most = Math.max(most, amplitude[k] / factor);
    if (most < NOTHING) most = 1;
    const x = roundScale(0, this.most_Hz, 5);
    const top = Math.ceil(Math.log10(most));
    const y = this.log ? roundScale(top - DECADES, top, DECADES) : roundScale(0, most * 1.12, 4);
    const height = (value: number) => up(frame, y, this.log ? Math.max(top - DECADES, Math.log10(value)) : value);
    const power = (value: number) => (this.log ? figure(10 ** value, 1) : figure(value, 3).replace(/\.?0+$/, ''));
    paintAxes(g, frame, x, y, { x: 'Hz', y: unit }, power);
    g.save();
    g.beginPath();
    g.rect(frame.left, frame.top - 2, frame.right - frame.left, frame.bottom - frame.top + 3);
    g.clip();
    g.strokeStyle = frame.palette.ink;
    g.lineWidth = 1.4;
    g.beginPath();
    // The highest of all values that fall on a pixel, so that no line is lost between two.
    let pixel = Number.NaN;
    let here = 0;
    for (let k = 0; k <= end; k++) {
      const at = Math.round(across(frame, x, k * step_Hz));
      if (at !== pixel || k === end) {
        if (!Number.isNaN(pixel)) g.lineTo(pixel, height(here / factor));
        pixel = at;
        here = 0;
      }
      here = Math.max(here, amplitude[k] ?? 0);
    }
    g.stroke();
    g.restore();
    g.font = frame.font;
    g.fillStyle = frame.palette.ink;
    g.textAlign = 'center';
    g.textBaseline = 'bottom';
    for (const peak of this.named(result.found)) {
      if (peak.at_Hz > this.most_Hz) continue;
      const text = timesOf(peak, result.found, result.electrical_Hz);
      g.fillText(text === '' ? '' : text, across(frame, x, peak.at_Hz), height(peak.amplitude / factor) - 2);
    }
  }
}

interface Result {
  readonly info: ChannelInfo;
  readonly span_s: number;
  readonly found: Spectrum | undefined;
  readonly electrical_Hz: number;
}

/** How a line stands to the electrical frequency, '' when to none of its multiples. */
function timesOf(peak: Peak, found: Spectrum, electrical_Hz: number): string {
  const order = multipleOf(peak.at_Hz, electrical_Hz, found.width_Hz);
  return order === undefined ? '' : `${order} ×`;
}

const preferred = ({ channel }: ChannelInfo): boolean => channel === 'currentA' || channel === 'gearTorque';

customElements.define('wave-spectrum', WaveSpectrum);
declare global {
  interface HTMLElementTagNameMap {
    'wave-spectrum': WaveSpectrum;
  }
}
