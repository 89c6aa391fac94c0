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

export function compareForm(
  session: Session,
  controllers: readonly string[],
  busy: boolean,
  ask: (draft: OtherDraft) => void,
) {
  const submit = (e: SubmitEvent): void => {
    e.preventDefault();
    const given = new FormData(e.target as HTMLFormElement);
    const key = String(given.get('key') ?? '');
    const value = Number(
      String(given.get('value') ?? '')
        .replace(',', '.')
        .replace('\u2212', '-'),
    );
    ask({
      controller: String(given.get('controller')),
      change: key === '' || !Number.isFinite(value) ? undefined : { key, value },
    });
  };
  const numbers = sheetsOf(session).then(([sheet]) =>
    sheet.groups.map(
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
