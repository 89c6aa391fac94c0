/** The tables under the paper: what the traces read, the scales of the lanes, what happened in sight. */
import { html, nothing } from 'lit';
import type { Channel, Mark } from '../../worker/api.ts';
import type { Lane } from './draw.ts';
import type { LanePlan, Trace } from './lanes.ts';
import { figure, hertz, moment, plain } from './numbers.ts';
import type { Reading, Readings } from './readings.ts';
import { stroke } from './signal-list.ts';
import { WORDS } from './words.ts';

export interface TableDeeds {
  readonly apart: ReadonlySet<Channel>;
  turnApart(channel: Channel): void;
  takeAway(channel: Channel): void;
}

/** One row a trace. Without readings only what it reads now. */
export function readingsTable(
  plans: readonly LanePlan[],
  readings: Readings | undefined,
  now: (trace: Trace) => number,
  marks: readonly (number | undefined)[],
  deeds: TableDeeds,
) {
  const [one, two] = marks.map((mark) => mark !== undefined);
  const both = one && two;
  const says = !readings
    ? nothing
    : { samples: both ? WORDS.overMarks : WORDS.overSight, steps: WORDS.overSteps, spans: WORDS.inexact }[readings.how];
  const head = (text: string) => html`<th scope="col">${text}</th>`;
  return html`<table>
    <caption>${readings ? html`${WORDS.readings}. ${says}` : WORDS.readings}</caption>
    <thead><tr>${head(WORDS.trace)}
      ${
        readings
          ? html`${one ? head(WORDS.at1) : nothing}${two ? head(WORDS.at2) : nothing}${both ? head(WORDS.difference) : nothing}
            ${head(WORDS.mean)}${head(WORDS.rms)}${head(WORDS.lowest)}${head(WORDS.highest)}`
          : head(WORDS.nowValue)
      }
      <th scope="col" style="text-align: left; padding-left: 0">${WORDS.unit}</th>${readings ? head(WORDS.own) : nothing}<th scope="col"><span class="away">${WORDS.change}</span></th></tr></thead>
    <tbody>${plans.flatMap((plan) => plan.traces.map((trace) => row(trace, readings?.rows[trace.place])))}</tbody>
  </table>`;

  function row(trace: Trace, reading: Reading | undefined) {
    const cell = (value: number | undefined) => html`<td>${figure(value ?? Number.NaN)}</td>`;
    const { at1, at2 } = reading ?? {};
    const apart = deeds.apart.has(trace.channel);
    return html`<tr><th scope="row">${tagOf(trace)}${stroke(trace)}${trace.name}</th>
      ${
        readings
          ? html`${one ? cell(at1) : nothing}${two ? cell(at2) : nothing}
            ${both ? cell((at2 ?? Number.NaN) - (at1 ?? Number.NaN)) : nothing}
            ${cell(reading?.mean)}${cell(reading?.rms)}${cell(reading?.lowest)}${cell(reading?.highest)}`
          : cell((now(trace) - trace.offset) / trace.factor)
      }
      <td class="unit">${trace.unit}</td>${readings ? html`<td>${hertz(reading?.own_Hz ?? Number.NaN)}</td>` : nothing}
      <td><button class="small" aria-pressed=${apart} aria-label=${`${WORDS.ownLane}: ${trace.name}`} @click=${() => deeds.turnApart(trace.channel)}>${WORDS.ownLane}</button>
        <button class="small" aria-label=${`${WORDS.takeAway}: ${trace.name}`} @click=${() => deeds.takeAway(trace.channel)}>${WORDS.takeAway}</button></td></tr>`;
  }
}

function tagOf({ tag, color }: Trace) {
  return tag === ''
    ? nothing
    : html`<span class="tag" style="border-color: var(--${color})"><span>${tag}</span></span>`;
}

/** Ends of each scale, by itself or by hand. */
export function scalesTable(
  lanes: readonly Lane[],
  scales: ReadonlyMap<string, readonly [number, number]>,
  set: (key: string, ends: readonly [number, number] | undefined) => void,
) {
  return html`<div class="scales">${lanes.map(({ plan, scale }) => {
    const ends = scales.get(plan.key);
    const change = (which: 0 | 1) => (e: Event) => {
      const value = (e.target as HTMLInputElement).valueAsNumber;
      const next: [number, number] = [scale.low, scale.high];
      next[which] = value;
      if (next[0] < next[1]) set(plan.key, next);
    };
    const [first] = plan.traces;
    const name = plan.key === plan.unit ? plan.unit : [first.name, plan.unit].filter(Boolean).join(', ');
    return html`<fieldset><legend>${name}</legend>
      <label><input type="checkbox" .checked=${!ends} @change=${() => set(plan.key, ends ? undefined : [scale.low, scale.high])} />${WORDS.scaleAuto}</label>
      <label>${WORDS.scaleFrom} <input type="number" step="any" ?disabled=${!ends} .value=${plainNumber(scale.low)} @change=${change(0)} /></label>
      <label>${WORDS.scaleTo} <input type="number" step="any" ?disabled=${!ends} .value=${plainNumber(scale.high)} @change=${change(1)} /></label></fieldset>`;
  })}</div>`;
}

/** A number as a field takes it. */
const plainNumber = (value: number): string => plain(value).replace('\u2212', '-');

/** What happened in sight, each with a way to it. */
export function happenedList(marks: readonly Mark[], show: (at_s: number) => void) {
  return html`${
    marks.length === 0
      ? html`<p class="scales">${WORDS.noEvents}</p>`
      : html`<ol>${marks
          .slice(-EVENTS)
          .map(
            ({ at_s, words }) =>
              html`<li><button class="small" aria-label=${`${WORDS.showIt}: ${words}, ${moment(at_s)}`} @click=${() => show(at_s)}>${moment(at_s)}</button>${words}</li>`,
          )}</ol>`
  }`;
}
/** The latest of what happened that a list can hold. */
const EVENTS = 60;
