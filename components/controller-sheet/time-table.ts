import { html } from 'lit';
import { clockGrain_s } from '../session/clock-grain.ts';
import type { Session } from '../session/session.ts';
import { share, TIME_WORDS as WORDS } from './words.ts';

/** How time goes here: what was lost, and how fine the clock is with which all of it is measured. */
export function timeTable({ record }: Session) {
  const running = record.headValue('running') === 1;
  const rows = [
    [WORDS.life, running ? share(record.headValue('ratio')) : WORDS.stands],
    [WORDS.lost, WORDS.lostOf(record.headValue('lost_s'))],
    [WORDS.grain, WORDS.grainOf(clockGrain_s(), crossOriginIsolated)],
  ];
  return html`<table><caption>${WORDS.title}</caption><tbody>${rows.map(([what, text]) => html`<tr><th scope="row">${what}</th><td>${text}</td></tr>`)}</tbody></table>`;
}
