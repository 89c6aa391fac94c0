import { css, html, LitElement, nothing } from 'lit';
import type { GivenKind, KeptRecording } from '../../worker/api.ts';
import { capital } from '../controller-sheet/words.ts';
import type { Session } from '../session/session.ts';
import { shared } from '../style/shared.ts';
import { bytes, count, length } from './amounts.ts';
import type { Recordings } from './recordings.ts';
import { RECORDING_WORDS as WORDS } from './words.ts';

const KINDS: readonly GivenKind[] = ['psrec', 'csv', 'parquet', 'mf4'];

/**
 * Recordings that are kept: what they hold and what is wrong with them, the way out as a file, and the way to delete them.
 *
 * @fires said - detail: what came of a deed, in words
 */
export class RecordingList extends LitElement {
  static override styles = [
    shared,
    css`
      h3 { font: 600 1rem/1.2 var(--text); margin: 0 0 0.3rem; }
      p { margin: 0 0 0.2rem; line-height: 1.35; color: var(--ink2); }
      ul { list-style: none; margin: 0; padding: 0; }
      li { border-top: 1px solid var(--rule); padding: 0.5rem 0; }
      li b { font-weight: 600; overflow-wrap: anywhere; }
      .notes { color: var(--ink); }
      .line { display: flex; flex-wrap: wrap; gap: 0.3rem 0.9rem; align-items: center; margin-top: 0.3rem; }
    `,
  ];
  static override properties = {
    recordings: { attribute: false },
    session: { attribute: false },
    doubted: { state: true },
  };
  declare recordings: Recordings | undefined;
  declare session: Session;
  /** Name of the one that is asked about before it is deleted, '' for none. */ declare private doubted: string;
  /** One thing at a time. */ private busy = false;

  constructor() {
    super();
    this.doubted = '';
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.recordings?.removeEventListener('change', this.changed);
  }

  override willUpdate(before: Map<PropertyKey, unknown>): void {
    if (!before.has('recordings')) return;
    (before.get('recordings') as Recordings | undefined)?.removeEventListener('change', this.changed);
    this.recordings?.addEventListener('change', this.changed);
  }

  override render() {
    const list = this.recordings?.list ?? [];
    return html`
      <section aria-labelledby="kept">
        <h3 id="kept" tabindex="-1">${WORDS.kept}</h3>
        ${list.length === 0 ? html`<p>${WORDS.none}</p>` : html`<ul>${list.map((row) => this.row(row))}</ul>`}
      </section>
    `;
  }

  private row(row: KeptRecording) {
    const { name } = row;
    const closed = row.state === 'whole' || row.state === 'cut';
    const free = closed || row.state === 'unreadable';
    return html`
      <li>
        <b>${name}</b>
        ${row.title ? html`<p>${row.title}, ${row.controller}</p>` : nothing}
        ${closed ? html`<p>${facts(row)}</p>` : nothing}
        ${stateWords(row) ? html`<p class="notes">${stateWords(row)}</p>` : nothing}
        ${row.notes.map((note) => html`<p class="notes">${capital(note.replace(/\.$/, ''))}.</p>`)}
        <div class="line">
          ${
            closed
              ? html`<span>${WORDS.saveAs}</span><span class="group">${KINDS.map(
                  (kind) =>
                    html`<button class="key" aria-label=${WORDS.save(WORDS.kinds[kind], name)} @click=${() => this.save(name, kind)}>${WORDS.kinds[kind]}</button>`,
                )}</span>`
              : nothing
          }
          ${!free ? nothing : this.doubted === name ? this.sure(name) : html`<button class="key" data-remove=${name} aria-label=${WORDS.removeNamed(name)} @click=${() => this.doubt(name)}>${WORDS.remove}</button>`}
        </div>
      </li>
    `;
  }

  private sure(name: string) {
    return html`<span class="group">
      <button class="key sure" aria-label=${WORDS.removeSureNamed(name)} @click=${() => this.drop(name)}>${WORDS.removeSure}</button>
      <button class="key" @click=${() => this.doubt('')}>${WORDS.removeNot}</button>
    </span>`;
  }

  private async doubt(name: string): Promise<void> {
    const before = this.doubted;
    this.doubted = name;
    await this.updateComplete;
    const next = name === '' ? `[data-remove='${CSS.escape(before)}']` : '.sure';
    this.renderRoot.querySelector<HTMLButtonElement>(next)?.focus();
  }

  private save(name: string, kind: GivenKind): Promise<void> {
    return this.alone(async (recordings) => {
      this.say(WORDS.writing(name, WORDS.kinds[kind]));
      return recordings.save(name, kind);
    });
  }

  private async drop(name: string): Promise<void> {
    this.doubted = '';
    await this.alone((recordings) => recordings.remove(name));
    await this.updateComplete;
    // What had the focus is gone.
    const next = this.renderRoot.querySelector<HTMLElement>('[data-remove]');
    (next ?? this.renderRoot.querySelector<HTMLElement>('h3'))?.focus();
  }

  private async alone(work: (recordings: Recordings) => Promise<string>): Promise<void> {
    const { recordings } = this;
    if (!recordings || this.busy) return;
    this.busy = true;
    try {
      this.say(await work(recordings));
    } catch (error) {
      this.say((error as Error).message);
    } finally {
      this.busy = false;
    }
  }

  private say(words: string): void {
    this.dispatchEvent(new CustomEvent('said', { detail: words }));
  }

  private readonly changed = (): void => this.requestUpdate();
}

function facts({ size_B, rows, signals, from_s, to_s, place }: KeptRecording): string {
  const holds = WORDS.facts(length(to_s - from_s), bytes(size_B), signals, count(rows));
  const span = WORDS.span(from_s.toFixed(3), to_s.toFixed(3));
  return [holds, span, ...(place === 'memory' ? [WORDS.inTab] : [])].join('; ');
}

function stateWords({ state }: KeptRecording): string {
  if (state === 'cut') return WORDS.cut;
  if (state === 'here') return WORDS.here;
  if (state === 'elsewhere') return WORDS.elsewhere;
  return state === 'unreadable' ? WORDS.unreadable : '';
}

customElements.define('recording-list', RecordingList);
declare global {
  interface HTMLElementTagNameMap {
    'recording-list': RecordingList;
  }
}
