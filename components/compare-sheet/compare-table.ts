/** The table of differences between two runs. */
import { html } from 'lit';
import { SIGNAL_INDEX, SIGNALS, type SignalId } from '../../src/signals.ts';
import { displayUnit, toDisplay, unitSymbol } from '../../src/units/convert.ts';
import type { Difference, Differences } from '../../worker/api.ts';
import { COMPARE_WORDS as WORDS } from './words.ts';

const DIGITS = 4;
/** Less than this share of what the signal reaches is rounding: sums over a million periods keep ten digits. */
const NOTHING = 1e-9;
const TAKES = ['mean', 'rms', 'most', 'last'] as const;

/**
 * A value as people read it. A difference has no zero point: 3 K are 3 degrees.
 *
 * @param reach greatest size of the signal in both runs, SI
 */
export function shown(value: number, unit: string, isDifference: boolean, reach = 1): string {
  if (Number.isNaN(value)) return WORDS.unknown;
  const exact = isDifference ? value / displayUnit(unit).factor : toDisplay(value, unit);
  const read = Math.abs(value) <= NOTHING * reach ? (isDifference ? 0 : toDisplay(0, unit)) : exact;
  const text = String(Number(read.toPrecision(DIGITS))).replace('-', '\u2212');
  return isDifference && read > 0 ? `+${text}` : text;
}

export function compareTable({ rows, exact, from_s, to_s }: Differences) {
  const same = exact && rows.every(({ apart }) => apart === 0);
  const says = (exact ? WORDS.span : WORDS.coarse)(from_s.toFixed(4), to_s.toFixed(4));
  return html`
    <table>
      <caption>${WORDS.table}<small>${says}${same ? ` ${WORDS.allSame}` : ''}</small></caption>
      <thead>
        <tr><th scope="col">${WORDS.signal}</th><th scope="col">${WORDS.take}</th><th scope="col" class="number">${WORDS.now}</th><th scope="col" class="number">${WORDS.other}</th><th scope="col" class="number">${WORDS.difference}</th><th scope="col">${WORDS.unit}</th></tr>
      </thead>
      ${rows.map(block)}
    </table>
  `;
}

function block(row: Difference) {
  const { doc, show } = SIGNALS[SIGNAL_INDEX[row.channel as SignalId]];
  const unit = unitSymbol(show);
  const sizes = [...row.most, ...row.rms, ...row.last].map(Math.abs).filter((size) => !Number.isNaN(size));
  const reach = Math.max(0, ...sizes);
  const cell = (value: number, isDifference: boolean) =>
    html`<td class="number">${shown(value, show, isDifference, reach)}</td>`;
  return html`
    <tbody>
      ${TAKES.map((take, k) => {
        const [now, ghost, difference] = row[take];
        return html`<tr>
          ${k === 0 ? html`<th scope="rowgroup" rowspan=${TAKES.length + 1}>${doc}</th>` : ''}
          <td>${WORDS[take]}</td>${cell(now, false)}${cell(ghost, false)}${cell(difference, true)}<td class="unit">${unit}</td>
        </tr>`;
      })}
      <tr><td>${WORDS.apart}</td><td></td><td></td><td class="number">${row.apart === 0 ? WORDS.nowhere : shown(row.apart, show, true, reach).replace('+', '')}</td><td class="unit">${row.apart === 0 ? '' : unit}</td></tr>
    </tbody>
  `;
}
