/** The fields of a fault: leg, size, how it comes, when. */
import { html, nothing } from 'lit';
import { SIGNAL_INDEX, SIGNALS } from '../../src/signals.ts';
import { unitSymbol } from '../../src/units/convert.ts';
import type { FaultRow } from '../../worker/api.ts';
import type { Draft } from './draft.ts';
import { WORDS } from './words.ts';

type Change = (change: Partial<Draft>) => void;
/** Keys of the draft that hold a number as text. */
type Text = 'size' | 'over' | 'on' | 'off' | 'after' | 'at' | 'held' | 'stays' | 'value';

const LEGS = ['a', 'b', 'c'] as const;
/** Signals that a condition may watch; time has a way of its own. */
const WATCHED = SIGNALS.filter(({ id }) => id !== 'time');

export function fields(row: FaultRow, draft: Draft, change: Change) {
  const text = (key: Text, unit: string) => numberField(key, draft[key], unit, change);
  return html`
    ${row.legs ? legField(draft, change) : nothing}
    ${row.size ? sizeField(row.size, draft, change) : html`<div class="field wide"><small>${WORDS.thereOrNot}</small></div>`}
    <div class="field"><label for="shape">${WORDS.shape}</label>${choice('shape', WORDS.shapes, draft.shape, change)}</div>
    ${draft.shape === 'ramp' ? text('over', WORDS.seconds) : nothing}
    ${draft.shape === 'intermittent' ? [text('on', WORDS.seconds), text('off', WORDS.seconds)] : nothing}
    <div class="field"><label for="when">${WORDS.when}</label>${choice('when', WORDS.whens, draft.when, change)}</div>
    ${draft.when === 'after' || draft.when === 'at' ? text(draft.when, WORDS.seconds) : nothing}
    ${draft.when === 'when' ? condition(draft, change) : nothing}
    ${text('stays', WORDS.seconds)}
  `;
}

function legField({ leg }: Draft, change: Change) {
  return html`<div class="field"><span class="lab" id="leg">${WORDS.leg}</span>
    <div class="group" role="group" aria-labelledby="leg">${LEGS.map(
      (each) =>
        html`<button class="key" aria-pressed=${each === leg} @click=${() => change({ leg: each })}>${each.toUpperCase()}</button>`,
    )}</div></div>`;
}

function sizeField(size: NonNullable<FaultRow['size']>, { size: value }: Draft, change: Change) {
  const [low, high] = [size.low, size.high].map((end) => String(Number(end.toPrecision(4))).replace('-', '\u2212'));
  const unit = unitSymbol(size.unit);
  const typed = Number(value.replace('\u2212', '-').replace(',', '.'));
  const inside =
    value.trim() !== '' && typed >= size.low * (1 + 1e-12 * -Math.sign(size.low)) && typed <= size.high * (1 + 1e-12);
  return html`<div class="field"><label for="size">${WORDS.size}</label>
    <div class="row"><input id="size" class="number" inputmode="decimal" autocomplete="off" aria-describedby="range" aria-invalid=${!inside} .value=${value}
      @input=${(e: Event) => change({ size: (e.target as HTMLInputElement).value })} />${unit}</div>
    <small id="range">${WORDS.range(low, high, unit, size.doc)}</small></div>`;
}

function numberField(key: Text, value: string, unit: string, change: Change) {
  return html`<div class="field"><label for=${key}>${WORDS[key]}</label>
    <div class="row"><input id=${key} class="number" inputmode="decimal" autocomplete="off" .value=${value}
      @input=${(e: Event) => change({ [key]: (e.target as HTMLInputElement).value })} />${unit}</div></div>`;
}

function condition(draft: Draft, change: Change) {
  const { show } = SIGNALS[SIGNAL_INDEX[draft.signal]];
  return html`
    <div class="field wide"><label for="signal">${WORDS.signal}</label>
      <select id="signal" @change=${(e: Event) => change({ signal: (e.target as HTMLSelectElement).value as Draft['signal'] })}>
        ${WATCHED.map(({ id, doc }) => html`<option value=${id} ?selected=${id === draft.signal}>${id}: ${doc}</option>`)}
      </select></div>
    <div class="field"><label for="side">${WORDS.side}</label>${choice('side', WORDS.sides, draft.side, change)}</div>
    ${numberField('value', draft.value, unitSymbol(show), change)}
    ${numberField('held', draft.held, WORDS.seconds, change)}
  `;
}

function choice<Key extends 'shape' | 'when' | 'side'>(
  key: Key,
  words: Readonly<Record<Draft[Key], string>>,
  chosen: Draft[Key],
  change: Change,
) {
  return html`<select id=${key} @change=${(e: Event) => change({ [key]: (e.target as HTMLSelectElement).value })}>
    ${Object.entries<string>(words).map(([value, text]) => html`<option value=${value} ?selected=${value === chosen}>${text}</option>`)}
  </select>`;
}
