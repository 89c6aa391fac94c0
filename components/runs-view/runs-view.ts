import { html, LitElement, nothing } from 'lit';
import type { LibraryRow, OpenedFile, Problem, ReadFile } from '../../worker/api.ts';
import type { Session } from '../session/session.ts';
import { shared } from '../style/shared.ts';
import { sheetFrame } from '../style/sheet.ts';
import './campaign-run.ts';
import { fileList } from './file-list.ts';
import { RunsDesk } from './runs-desk.ts';
import { runStyles, viewStyles } from './runs-view.styles.ts';
import './scenario-run.ts';
import { WORDS } from './words.ts';

/** Larger files are no scenarios [bytes]. */
const BYTES_MOST = 1_000_000;

/**
 * Scenarios and campaigns, from the library and from disk: read, played beside the bench on show, judged.
 *
 * @fires close - the person is done with it, or a run was put on the bench
 */
export class RunsView extends LitElement {
  static override styles = [shared, sheetFrame, runStyles, viewStyles];
  static override properties = {
    session: { attribute: false },
    rows: { state: true },
    query: { state: true },
    opened: { state: true },
    file: { state: true },
    read: { state: true },
    over: { state: true },
    problem: { state: true },
    controllers: { state: true },
  };
  declare session: Session;
  declare private rows: readonly LibraryRow[];
  declare private query: string;
  /** Files from disk. */ declare private opened: readonly OpenedFile[];
  declare private file: OpenedFile | undefined;
  declare private read: ReadFile | undefined;
  /** Files are dragged over the view. */ declare private over: boolean;
  declare private problem: string;
  declare private controllers: readonly string[];
  private readonly desk = new RunsDesk();

  constructor() {
    super();
    this.rows = [];
    this.query = '';
    this.opened = [];
    this.over = false;
    this.problem = '';
    this.controllers = [];
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.desk.close();
  }

  /** Takes the focus: the search. */
  async enter(): Promise<void> {
    await this.updateComplete;
    this.renderRoot.querySelector<HTMLInputElement>('#find')?.focus();
    const [rows, { controllers }] = await Promise.all([this.desk.api.library(), this.session.api.catalog()]);
    this.rows = rows;
    this.controllers = controllers;
  }

  override render() {
    return html`
      <header>
        <h2>${WORDS.title}</h2><span class="dim">${WORDS.does}</span>
        <button class="key" @click=${this.ask}>${WORDS.open}</button>
        <input type="file" multiple accept=".yaml,.yml,.json" hidden @change=${this.picked} />
        <button class="key close" @click=${this.close}>${WORDS.close}</button>
      </header>
      <div class="both">
        ${fileList({
          rows: this.rows,
          opened: this.opened,
          query: this.query,
          chosen: this.file?.name,
          search: (query) => {
            this.query = query;
          },
          choose: (name, from) => void this.choose(name, from),
        })}
        <section class="side ${this.over ? 'over' : ''}" tabindex="0" aria-label=${this.file?.name ?? WORDS.title}
          @dragover=${this.dragged} @dragleave=${this.left} @drop=${this.dropped}>
          <p class="problem" role="alert">${this.problem}</p>
          ${this.file ? this.content(this.file) : html`<p class="dim">${WORDS.choose}</p>`}
        </section>
      </div>
    `;
  }

  private content(file: OpenedFile) {
    const { read } = this;
    const row = this.rows.find(({ place }) => place === file.name);
    if (!read) return html`<p class="dim">${WORDS.reading}</p>`;
    const title = read.ok ? (read.kind === 'scenario' ? read.scenario.title : read.plan.campaign.title) : file.name;
    return html`
      <h3>${title}</h3>
      <p class="dim">${read.ok ? file.name : nothing}${row ? html`. ${row.shows}` : nothing}</p>
      ${read.ok ? this.player(read) : this.problems(read.problems, file)}
      <details ?open=${!read.ok}><summary>${WORDS.text}</summary>${this.lines(file, read.ok ? [] : read.problems)}</details>
    `;
  }

  private player(read: Extract<ReadFile, { ok: true }>) {
    const { session, desk, controllers, file } = this;
    if (read.kind === 'scenario')
      return html`<scenario-run .session=${session} .desk=${desk} .scenario=${read.scenario} .file=${file?.name} .controllers=${controllers}
        @opened=${this.close}></scenario-run>`;
    return html`<campaign-run .session=${session} .plan=${read.plan} @opened=${this.close}></campaign-run>`;
  }

  /** Those of other files are told with their name. */
  private problems(problems: readonly Problem[], { name }: OpenedFile) {
    return html`<div role="alert"><p class="bad">${WORDS.problems(problems.length)}</p>
      <ul class="problems">${problems.map(
        (each) =>
          html`<li>${each.file === name ? nothing : `${each.file}, `}${WORDS.line(each.line)}: ${each.text}</li>`,
      )}</ul></div>`;
  }

  private lines({ name, text }: OpenedFile, problems: readonly Problem[]) {
    const own = problems.filter(({ file }) => file === name);
    return html`<ol class="lines" tabindex="0" aria-label=${WORDS.text}>${text.split('\n').map((line, k) => {
      const found = own.filter((each) => each.line === k + 1);
      return found.length === 0
        ? html`<li>${line || ' '}</li>`
        : html`<li class="wrong">${line || ' '}${found.map((each) => html`<span>${each.text}</span>`)}</li>`;
    })}</ol>`;
  }

  private async choose(name: string, from: 'library' | 'disk'): Promise<void> {
    const text =
      from === 'disk' ? this.opened.find((each) => each.name === name)?.text : await this.desk.api.text(name);
    if (text === undefined) return;
    await this.show({ name, text });
  }

  private async show(file: OpenedFile): Promise<void> {
    this.problem = '';
    this.file = file;
    this.read = undefined;
    const read = await this.desk.api.read(file, this.opened);
    if (this.file === file) this.read = read;
  }

  private readonly ask = (): void => {
    this.renderRoot.querySelector<HTMLInputElement>('input[type=file]')?.click();
  };

  private readonly picked = async (e: Event): Promise<void> => {
    const input = e.target as HTMLInputElement;
    const files = [...(input.files ?? [])];
    input.value = '';
    await this.take(files);
  };

  private readonly dragged = (e: DragEvent): void => {
    e.preventDefault();
    this.over = true;
  };

  private readonly left = (): void => {
    this.over = false;
  };

  private readonly dropped = async (e: DragEvent): Promise<void> => {
    e.preventDefault();
    this.over = false;
    await this.take([...(e.dataTransfer?.files ?? [])]);
  };

  /** Opens files from disk; the first is shown, the others can be what it includes. */
  private async take(files: readonly File[]): Promise<void> {
    const large = files.find(({ size }) => size > BYTES_MOST);
    if (large) this.problem = WORDS.large(large.name, large.size, BYTES_MOST);
    if (large || files.length === 0) return;
    const read = await Promise.all(files.map(async (file) => ({ name: file.name, text: await file.text() })));
    const names = new Set(read.map(({ name }) => name));
    this.opened = [...this.opened.filter(({ name }) => !names.has(name)), ...read];
    await this.show(read[0]);
  }

  private readonly close = (): void => {
    this.dispatchEvent(new CustomEvent('close'));
  };
}

customElements.define('runs-view', RunsView);
