import { html, nothing } from 'lit';
import { standing } from '../controller-sheet/words.ts';
import type { Driver } from '../session/driver.ts';
import type { Session } from '../session/session.ts';

/** The controller is lost: why, what became of the drill, and what can be done. Stands over Record. */
export function lostNotice(session: Session, driver: Driver, toSheet: () => void) {
  const { title, lines } = standing(session, driver);
  const next =
    driver.stage === 'opening'
      ? html`<button class="key" @click=${() => driver.disconnect()}>Give up</button>`
      : session.info.board && driver.place
        ? html`<button class="key" @click=${() => driver.again()}>Connect again</button>`
        : nothing;
  return html`<div class="notice lost"><b>${title}</b>${lines.map((line) => html`<p>${line}</p>`)}
    ${next}
    <button class="key" @click=${toSheet}>Who drives</button></div>`;
}
