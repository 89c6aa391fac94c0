import { html, LitElement } from 'lit';
import type { Channel } from '../../worker/api.ts';
import { shared } from '../style/shared.ts';
import { readPalette } from '../waves/palette.ts';
import { exactScale } from './axis.ts';
import type { ChannelInfo } from './channels.ts';
import type { Past } from './feed.ts';
import { roundly } from './numbers.ts';
import { PAIRS, type PairName, pairOf } from './pairs.ts';
import { paneStyles } from './pane.styles.ts';
import { across, frameOf, paintAxes, scaleAround, up } from './plot.ts';
import { WORDS } from './words.ts';

/** While time runs, the last of it [s]; else as many samples as a curve can be read of. */
const LIVE_S = 0.25;
const SAMPLES = 40_000;

type Choice = PairName | 'own';
interface Curve {
  readonly x: Float32Array;
  readonly y: Float32Array;
  readonly span_s: number;
  readonly round: boolean;
  readonly says: { readonly x: string; readonly y: string };
}

/** One quantity over another, time left out. */
export class WaveXy extends LitElement {
  static override styles = [shared, paneStyles];
  static override properties = {
    past: { attribute: false },
    all: { attribute: false },
    from_s: { attribute: false },
    to_s: { attribute: false },
    live: { attribute: false },
    choice: { state: true },
    xChannel: { state: true },
    yChannel: { state: true },
    curve: { state: true },
    none: { state: true },
  };
  declare past: Past | undefined;
  declare all: readonly ChannelInfo[];
  declare from_s: number;
  declare to_s: number;
  declare live: boolean;
  declare private choice: Choice;
  declare private xChannel: Channel;
  declare private yChannel: Channel;
  declare private curve: Curve | undefined;
  declare private none: boolean;
  private busy = false;

  constructor() {
    super();
    this.all = [];
    this.from_s = 0;
    this.to_s = 0;
    this.live = false;
    this.choice = 'alphaBeta';
    this.xChannel = 'motorSpeed';
    this.yChannel = 'packCurrent';
    this.none = false;
  }

  /** Draws the stretch again. */
  async refresh(): Promise<void> {
    const { past, choice } = this;
    if (!past || this.busy || !(this.to_s > this.from_s)) return;
    this.busy = true;
    try {
      const pair = choice === 'own' ? pairOf(this.xChannel, this.yChannel) : PAIRS[choice];
      const from_s = this.live ? Math.max(this.from_s, this.to_s - LIVE_S) : this.from_s;
      const { channels } = pair;
      const looked = await past.look({ run: 'now', channels, from_s, to_s: this.to_s, points: SAMPLES });
      this.none = looked.kind !== 'values';
      if (this.none) return;
      const shown = channels.map((channel, k) => {
        const info = this.all.find((each) => each.channel === channel);
        const { factor, offset } = info ?? { factor: 1, offset: 0 };
        return looked.data[k].map((value) => (value - offset) / factor);
      });
      const count = shown[0].length;
      const x = new Float32Array(count);
      const y = new Float32Array(count);
      const sample: number[] = channels.map(() => 0);
      for (let k = 0; k < count; k++) {
        for (let j = 0; j < sample.length; j++) sample[j] = shown[j][k];
        x[k] = (pair.x as (values: readonly number[]) => number)(sample);
        y[k] = (pair.y as (values: readonly number[]) => number)(sample);
      }
      this.curve = { x, y, span_s: looked.to_s - looked.from_s, round: pair.round, says: this.says(choice, channels) };
    } finally {
      this.busy = false;
    }
  }

  protected override updated(): void {
    this.draw();
  }

  override render() {
    return html`
      <div class="row">
        <label>${WORDS.xyPair} <select @change=${this.choose}>${(Object.keys(WORDS.pairs) as Choice[]).map(
          (name) => html`<option value=${name} ?selected=${name === this.choice}>${WORDS.pairs[name]}</option>`,
        )}</select></label>
        ${this.choice === 'own' ? [this.axis('xChannel', WORDS.xyAcross), this.axis('yChannel', WORDS.xyUp)] : ''}
      </div>
      <canvas role="img" aria-label=${WORDS.pairs[this.choice]}></canvas>
      <p class="says">${this.none ? WORDS.xyNone : this.curve ? WORDS.xySays(roundly(this.curve.span_s)) : ''}</p>
    `;
  }

  private axis(which: 'xChannel' | 'yChannel', label: string) {
    return html`<label>${label} <select @change=${(e: Event) => {
      this[which] = (e.target as HTMLSelectElement).value as Channel;
      void this.refresh();
    }}>${this.all.map(
      ({ channel, name }) => html`<option value=${channel} ?selected=${channel === this[which]}>${name}</option>`,
    )}</select></label>`;
  }

  private readonly choose = (e: Event): void => {
    this.choice = (e.target as HTMLSelectElement).value as Choice;
    this.curve = undefined;
    void this.refresh();
  };

  private says(choice: Choice, channels: readonly Channel[]) {
    const [x, y] = channels.map((channel) => {
      const info = this.all.find((each) => each.channel === channel);
      return info ? `${info.name}${info.unit === '' ? '' : `, ${info.unit}`}` : channel;
    });
    return choice === 'alphaBeta' ? { x: `${WORDS.alpha}, A`, y: `${WORDS.beta}, A` } : { x, y };
  }

  private draw(): void {
    const canvas = this.renderRoot.querySelector('canvas');
    const g = canvas?.getContext('2d');
    const { curve } = this;
    if (!canvas || !g) return;
    const frame = frameOf(canvas, readPalette());
    if (!frame || !curve) return;
    const wide = frame.right - frame.left;
    const high = frame.bottom - frame.top;
    const [xs, ys] = curve.round
      ? [square(curve, wide / Math.min(wide, high)), square(curve, high / Math.min(wide, high))]
      : [ends(curve.x), ends(curve.y)];
    const scale = curve.round ? exactScale : scaleAround;
    const x = scale(xs[0], xs[1], 5);
    const y = scale(ys[0], ys[1], 5);
    paintAxes(g, frame, x, y, curve.says);
    g.strokeStyle = frame.palette.ink;
    g.lineWidth = 1;
    g.beginPath();
    let down = false;
    for (let k = 0; k < curve.x.length; k++) {
      if (Number.isNaN(curve.x[k] + curve.y[k])) down = false;
      else if (down) g.lineTo(across(frame, x, curve.x[k]), up(frame, y, curve.y[k]));
      else {
        g.moveTo(across(frame, x, curve.x[k]), up(frame, y, curve.y[k]));
        down = true;
      }
    }
    g.stroke();
    // Where it stands at the end of the stretch.
    const last = curve.x.length - 1;
    g.fillStyle = frame.palette.e;
    g.fillRect(across(frame, x, curve.x[last]) - 4, up(frame, y, curve.y[last]) - 4, 8, 8);
  }
}

function ends(data: Float32Array): [number, number] {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const value of data) {
    if (value < low) low = value;
    if (value > high) high = value;
  }
  return [low, high];
}

/** Equal on both axes and about zero, so that a circle is one; `stretch` makes the longer axis as much longer. */
function square(curve: Curve, stretch: number): [number, number] {
  const most = Math.max(
    0.1,
    ...[...ends(curve.x), ...ends(curve.y)].map((v) => (Number.isFinite(v) ? Math.abs(v) : 0)),
  );
  return [-most * 1.08 * stretch, most * 1.08 * stretch];
}

customElements.define('wave-xy', WaveXy);
declare global {
  interface HTMLElementTagNameMap {
    'wave-xy': WaveXy;
  }
}
