/**
 * Who drives: a built-in controller, or a board that is reached, refused, lost, reached again. Lives as long as the page,
 * whether its sheet is open or not.
 */
import type { BoardSaid, Joined, Refused, Wanted } from '../../worker/api.ts';
import type { Session } from './session.ts';

/** Where a board is. */
export interface Place {
  /** As it is shown. */ readonly name: string;
  /**
   * Opens it; called again to connect again. Rejects with the reason when it cannot be opened.
   *
   * @param wanted nobody but this board, looked for until it answers
   */
  join(session: Session, wanted?: Wanted): Promise<Joined>;
}

export type Stage = 'settled' | 'opening' | 'refused';

/** @fires change - stage, refusal or place are others now */
export class Driver extends EventTarget {
  stage: Stage = 'settled';
  /** Why the last attempt came to nothing. */ refusal: Refused | undefined;
  /** Where the board is, or was last. */ place: Place | undefined;
  /** What to say about who came: the same board again, another one, or nothing yet. */ came = '';
  private readonly session: Session;
  private before: BoardSaid | undefined;
  private attempt = 0;

  constructor(session: Session) {
    super();
    this.session = session;
  }

  /** Puts a built-in controller on the bench. */
  async useBuiltIn(controller: string): Promise<void> {
    const mine = this.begin(undefined);
    try {
      await this.session.useBuiltIn(controller);
      this.end(mine, undefined);
    } catch (error) {
      this.end(mine, { ok: false, why: 'set-up', lines: [words(error)] });
    }
  }

  /** Opens a board. A second call ends an attempt that is under way. */
  async connect(place: Place, wanted?: Wanted): Promise<void> {
    const before = this.session.info.board ?? this.before;
    const mine = this.begin(place);
    let joined: Joined;
    try {
      joined = await place.join(this.session, wanted);
    } catch (error) {
      joined = { ok: false, why: 'set-up', lines: [words(error)] };
    }
    if (joined.ok) {
      this.came = greeting(before, joined.info.board);
      this.before = joined.info.board;
    }
    this.end(mine, joined.ok ? undefined : joined);
  }

  /** Looks for the last board, and no other, until it answers or is given up. */
  async again(): Promise<void> {
    const { place, before } = this;
    if (place) await this.connect(place, before && { ...before, board: before.name });
  }

  /** Ends the link, or gives up opening one. */
  async disconnect(): Promise<void> {
    await this.session.api.disconnect();
    this.dispatchEvent(new Event('change'));
  }

  private begin(place: Place | undefined): number {
    this.stage = 'opening';
    this.refusal = undefined;
    if (place) this.place = place;
    this.came = '';
    this.dispatchEvent(new Event('change'));
    return ++this.attempt;
  }

  private end(mine: number, refusal: Refused | undefined): void {
    if (mine !== this.attempt) return;
    this.refusal = refusal;
    this.stage = refusal ? 'refused' : 'settled';
    this.dispatchEvent(new Event('change'));
  }
}

/** Identity comes from the Hello: nothing else tells two boards of a kind apart. */
function greeting(before: BoardSaid | undefined, now: BoardSaid | undefined): string {
  if (!before || !now) return '';
  if (before.name !== now.name || before.uid !== now.uid) return 'This is another board than before.';
  const build =
    before.firmware === now.firmware ? 'the same firmware' : `other firmware than before (${before.firmware})`;
  return `The same board again, with ${build}.`;
}

function words(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
