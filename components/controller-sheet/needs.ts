/** What a board needs of a drill: the sensors that it declared, and how much of a PWM period its processor takes. */
import { html } from 'lit';
import type { BenchInfo, BoardSaid, LinkNews } from '../../worker/api.ts';
import { short, NEED_WORDS as WORDS } from './words.ts';

/** Sensors as its Hello declares them; what it does not read is said, too. */
function sensorRows({ shunts, halls, phases, thermistors, gyro, accelerometer }: BoardSaid): [string, string][] {
  const read = (is: boolean) => (is ? WORDS.reads : WORDS.notRead);
  return [
    [WORDS.shunts, WORDS.shuntsOf(shunts.toUpperCase().split(''))],
    [WORDS.halls, halls ? WORDS.three : WORDS.noHalls],
    [WORDS.phases, read(phases)],
    [WORDS.thermistors, read(thermistors)],
    [WORDS.motion, WORDS.motionOf(gyro, accelerometer)],
  ];
}

/** Load over the span in which it was asked last. */
function loadText({ busy, busyMost, perSecond }: LinkNews, { pwm_Hz }: BenchInfo): string {
  if (perSecond === 0) return WORDS.notAsked;
  if (busyMost === 0) return WORDS.notMeasured;
  return WORDS.load(percent(busy), short(1 / pwm_Hz), percent(busyMost));
}

const percent = (part: number) => `${(part * 100).toFixed(0)} %`;

export function needs(info: BenchInfo, board: BoardSaid, news: LinkNews) {
  const rows: [string, string][] = [
    ...sensorRows(board),
    [WORDS.converter, WORDS.bits(board.bits)],
    [WORDS.pwm, WORDS.updates(info.pwm_Hz / 1000, board.updates)],
    [WORDS.processor, loadText(news, info)],
  ];
  return html`<table><caption>${WORDS.title}</caption><tbody>${rows.map(
    ([what, text]) => html`<tr><th scope="row">${what}</th><td>${text}</td></tr>`,
  )}</tbody></table>`;
}
