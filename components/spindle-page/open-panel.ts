/** The one panel that is open over the stage: how it comes, and where the focus goes when it is gone. */
import type { Driver, Place } from '../session/driver.ts';
import type { Session } from '../session/session.ts';
import { inField } from './keys.ts';
import { makePanel, PANELS, type Panel, type PanelElement } from './panels.ts';

/** The page around it. */
export interface PanelHost {
  /** What a panel works with; undefined when the page did not start. */
  belongings(): Promise<{ session: Session; driver: Driver; bridge: Place | undefined } | undefined>;
  /** Draws with what is open now; resolves when that is done. */ draw(): Promise<unknown>;
  /** A panel asks something of the stage. */ asked(e: Event): void;
  /** Whoever opened it takes the focus back. */ focusOpener(id: Panel['id']): void;
}

export class OpenPanel {
  element: PanelElement | undefined;
  private row: Panel | undefined;
  private readonly host: PanelHost;

  constructor(host: PanelHost) {
    this.host = host;
  }

  /** Of the panel that is open, '' for none. */
  get id(): Panel['id'] | '' {
    return this.element && this.row ? this.row.id : '';
  }

  /** How much of the stage it takes, '' for nothing. */
  get place(): Panel['place'] | '' {
    return this.element && this.row ? this.row.place : '';
  }

  get hidesAhead(): boolean {
    return this.place === 'view' || this.place === 'sheet';
  }

  /** Opens a panel in place of the one that is open, or closes it when it is. */
  async turn(id: Panel['id'], subject?: unknown): Promise<void> {
    const belongings = await this.host.belongings();
    const row = PANELS.find((each) => each.id === id);
    if (!row || !belongings) return;
    const again = this.element !== undefined && this.row === row && subject === undefined;
    this.close();
    if (again) return;
    this.row = row;
    const element = await makePanel(row, belongings.session, belongings.driver, belongings.bridge);
    if (this.row !== row) return; // another one was asked for meanwhile
    if (subject !== undefined) element.subject = subject;
    element.addEventListener('close', () => this.close());
    element.addEventListener('keydown', (e) => {
      if (e.key !== 'Backspace' || e.defaultPrevented || inField(e)) return;
      e.preventDefault();
      this.close();
    });
    element.addEventListener('stage', (e) => this.host.asked(e));
    element.addEventListener('show-signals', (e) => void this.turn('waves', (e as CustomEvent).detail));
    this.element = element;
    await this.host.draw();
    await element.enter();
  }

  /** Somebody stops the drill. */
  stop(): void {
    if (this.row?.drives) this.close();
  }

  /** Takes the open panel away; the focus goes back to where it was opened if it was in it. */
  close(): void {
    const { element, row } = this;
    if (!row) return;
    const inside = element?.matches(':focus-within') ?? false;
    this.element = undefined;
    this.row = undefined;
    void this.host.draw();
    if (inside) this.host.focusOpener(row.id);
  }
}
