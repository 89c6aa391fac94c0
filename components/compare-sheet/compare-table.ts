/** The table of differences between two runs. */
import { html } from 'lit';
import { SIGNAL_INDEX, SIGNALS, type SignalId } from '../../src/signals.ts';
import { displayUnit, toDisplay } from '../../src/units/convert.ts';
import type { Difference, Differences } from '../../worker/api.ts';
import { COMPARE_WORDS as WORDS } from './words.ts';

const DIGITS = 4;
/** Less than this, in the unit shown, is rounding. */
const NOTHING = 1e-9;
const TAKES = ['mean', 'rms', 'most', 'last'] as const;

/** A value as people read it. A difference has no zero point: 3 K are 3 degrees. */
export function shown(value: number, unit: string, isDifference: boolean): string {
  if (Number.isNaN(value)) return WORDS.unknown;
  const exact = isDifference ? value / displayUnit(unit).factor : toDisplay(value, unit);
  const read = Math.abs(exact) < NOTHING ? 0 : exact;
  const text = String(Number(read.toPrecision(DIGITS))).replace('-', '\u2212');
  return isDifference && read > 0 ? `+${text}` : text;
}

export function compareTable({ rows, exact, from_s, to_s }: Differences) {
  const says = (exact ? WORDS.span : WORDS.coarse)(from_s.toFixed(4), to_s.toFixed(4));
  return html`
    <table>
      <caption>${WORDS.table}<small>${says}</small></caption>
      <thead>
        <tr><th scope="col">${WORDS.signal}</th><th scope="col">${WORDS.take}</th><th scope="col" class="number">${WORDS.now}</th><th scope="col" class="number">${WORDS.other}</th><th scope="col" class="number">${WORDS.difference}</th><th scope="col">${WORDS.unit}</th></tr>
      </thead>
      ${rows.map(block)}
    </table>
  `;
}

function block(row: Difference) {
  const { doc, show } = SIGNALS[SIGNAL_INDEX[row.channel as SignalId]];
  const unit = show.replace('ohm', 'Ω');
  return html`
    <tbody>
      ${TAKES.map((take, k) => {
        const [now, ghost, difference] = row[take];
        return html`<tr>
          ${k === 0 ? html`<th scope="rowgroup" rowspan=${TAKES.length + 1}>${doc}</th>` : ''}
          <td>${WORDS[take]}</td><td class="number">${shown(now, show, false)}</td><td class="number">${shown(ghost, show, false)}</td>
          <td class="number">${shown(difference, show, true)}</td><td class="unit">${unit}</td>
        </tr>`;
      })}
      <tr><td>${WORDS.apart}</td><td></td><td></td><td class="number">${shown(row.apart, show, true).replace('+', '')}</td><td class="unit">${unit}</td></tr>
    </tbody>
  `;
}
