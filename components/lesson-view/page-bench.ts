/** The bench of the page, lent to a lesson and given back. */
import type { BenchInfo, FreezeWhen, LinkNews } from '../../worker/api.ts';
import { builtInName } from '../controller-sheet/words.ts';
import { Left, type LessonBench } from '../lessons/play.ts';
import { armFault, fireFault } from '../session/faults.ts';
import type { HandsHeld, Session } from '../session/session.ts';
import type { StageAsk } from '../spindle-page/stage.ts';
import { paceText } from './sets.ts';

interface Kept {
  readonly info: BenchInfo;
  readonly hands: HandsHeld;
  readonly pace: number;
  readonly ran: boolean;
  readonly freezeWhen: FreezeWhen | undefined;
}

export class PageBench implements LessonBench {
  private readonly session: Session;
  private readonly tell: (ask: StageAsk) => void;
  private kept: Kept | undefined;
  private leave = new AbortController();
  private left: Promise<never> | undefined;

  /** @param tell hands the page what the lesson changes of its stage */
  constructor(session: Session, tell: (ask: StageAsk) => void) {
    this.session = session;
    this.tell = tell;
  }

  /** Notes how everything is before the first step. */
  borrow(): void {
    const { session } = this;
    this.kept ??= {
      info: session.info,
      hands: { ...session.hands },
      pace: session.record.headValue('pace') || 1,
      ran: session.record.headValue('running') === 1,
      freezeWhen: session.news?.past.freezeWhen,
    };
  }

  /** Puts everything back; resolves with what that was, in words, '' when nothing was lent. */
  async giveBack(): Promise<string> {
    const { session, kept } = this;
    this.abandon();
    if (!kept) return '';
    this.kept = undefined;
    const { info, hands, pace, ran, freezeWhen } = kept;
    this.tell({ veiled: false, running: false });
    await session.api.freeze();
    await session.api.dropGhost();
    await session.useBuiltIn(info.controller, info.drill);
    session.setHands({ ...hands, trigger: 0, grip_Nm: 0 });
    await session.api.setPace(pace);
    await session.api.freezeWhen(freezeWhen);
    if (ran) await session.api.run();
    this.tell({ running: ran, pace });
    return `${builtInName(info.controller)}, ${paceText(pace)}`;
  }

  /** Ends the wait of a step that nobody wants any more, and makes room for the next one. */
  abandon(): void {
    this.leave.abort();
    this.leave = new AbortController();
    const { signal } = this.leave;
    this.left = new Promise((_, reject) => {
      signal.addEventListener('abort', () => reject(new Left('the step was left')));
    });
    this.left.catch(() => {}); // heard where somebody waits
  }

  async fresh(controller: string): Promise<void> {
    const { session, kept } = this;
    await session.api.freeze();
    this.tell({ running: false });
    await session.useBuiltIn(controller, kept?.info.drill ?? session.info.drill);
    await this.heard(({ past }) => past.freezes === 0 && past.now_s === 0);
  }

  setHands(hands: Partial<HandsHeld>): void {
    this.session.setHands(hands);
  }

  async setPace(pace: number): Promise<void> {
    await this.session.api.setPace(pace);
    this.tell({ pace });
  }

  armFault: LessonBench['armFault'] = (ask) => armFault(this.session, ask);
  fireFault: LessonBench['fireFault'] = (handle) => fireFault(this.session, handle);
  freezeWhen: LessonBench['freezeWhen'] = (condition) => this.session.api.freezeWhen(condition);
  ghostOf: LessonBench['ghostOf'] = (ask) => this.session.api.ghostOf(ask);

  async untilItStands(count: number): Promise<number> {
    this.tell({ running: true });
    await this.session.api.run();
    const { past } = await this.heard((news) => news.past.freezes >= count);
    return past.frozen?.at_s ?? past.now_s;
  }

  /** Waits for news that fulfil a condition. Rejects with `Left` when the step is abandoned. */
  private async heard(holds: (news: LinkNews) => boolean): Promise<LinkNews> {
    const { session } = this;
    const { signal } = this.leave;
    const found = new Promise<LinkNews>((resolve) => {
      session.addEventListener(
        'news',
        () => {
          if (session.news && holds(session.news)) resolve(session.news);
        },
        { signal },
      );
    });
    return await Promise.race([found, this.left ?? found]);
  }
}
