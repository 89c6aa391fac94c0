/** What the same file is played with once more: another controller, another number of the drill. */
import { html, nothing } from 'lit';
import { until } from 'lit/directives/until.js';
import type { DrillSheet } from '../../worker/api.ts';
import { builtInName } from '../controller-sheet/words.ts';
import type { Session } from '../session/session.ts';
import { WORDS } from './words.ts';

export interface OtherDraft {
  /** '' for the same. */ readonly controller: string;
  /** SI. */ readonly change: { readonly key: string; readonly value: number } | undefined;
}

const sheets = new WeakMap<Session, Promise<readonly DrillSheet[]>>();

function sheetsOf(session: Session): Promise<readonly DrillSheet[]> {
  let known = sheets.get(session);
  if (!known) {
    known = session.api.sheets();
    sheets.set(session, known);
  }
  return known;
}

/** @param ask is told what to play, or in words why it cannot be played */
export function compareForm(
  session: Session,
  controllers: readonly string[],
  drill: string,
  busy: boolean,
  ask: (draft: OtherDraft | string) => void,
) {
  const submit = (e: SubmitEvent): void => {
    e.preventDefault();
    const given = new FormData(e.target as HTMLFormElement);
    const key = String(given.get('key') ?? '');
    const text = String(given.get('value') ?? '').trim();
    const value = Number(text.replace(',', '.').replace('\u2212', '-'));
    const controller = String(given.get('controller'));
    if (key === '') ask(text === '' ? { controller, change: undefined } : WORDS.noKey(text));
    else if (text === '' || !Number.isFinite(value)) ask(WORDS.badValue(text));
    else ask({ controller, change: { key, value } });
  };
  const numbers = sheetsOf(session).then((all) =>
    (all.find(({ name }) => name === drill) ?? all[0]).groups.map(
      ({ name, title, rows }) =>
        html`<optgroup label=${title}>${rows
          .filter(({ value }) => typeof value === 'number')
          .map(
            ({ key, doc, unit }) =>
              html`<option value=${`${name}.${key}`}>${doc}${unit ? `, ${unit}` : nothing}</option>`,
          )}</optgroup>`,
    ),
  );
  return html`<form class="row" @submit=${submit}>
    <label>${WORDS.compare}<select name="controller"><option value="">${WORDS.noNumber}</option>
      ${controllers.map((name) => html`<option value=${name}>${builtInName(name)}</option>`)}</select></label>
    <label>${WORDS.number}<select name="key"><option value="">${WORDS.noNumber}</option>${until(numbers, nothing)}</select></label>
    <label>${WORDS.numberValue}<input name="value" inputmode="decimal" autocomplete="off" size="8" /></label>
    <button class="key" ?disabled=${busy}>${WORDS.playBoth}</button>
  </form>`;
}
