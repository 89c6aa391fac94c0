/** What is known about a run beside its outcome: where it came from and who drove it. */
import type { Hello } from '../protocol/hello.ts';
import type { Outcome } from '../runner/play.ts';
import type { Scenario } from '../scenario/scenario.ts';
import type { BoardParams } from '../sensing/board.ts';

export class RunFacts {
  readonly file: string;
  readonly scenario: Scenario;
  /** As the user named it: builtin:NAME, exec:CMD or tcp:HOST:PORT. */ readonly controller: string;
  readonly hello: Hello;
  readonly board: BoardParams;
  /** Wall time of the run [s]. */ readonly wall_s: number;

  constructor(file: string, scenario: Scenario, controller: string, hello: Hello, board: BoardParams, wall_s: number) {
    this.file = file;
    this.scenario = scenario;
    this.controller = controller;
    this.hello = hello;
    this.board = board;
    this.wall_s = wall_s;
  }

  /** What a reader of the result has to know. */
  cautions({ coupling, counters }: Outcome): string[] {
    const found: string[] = [];
    if (counters.dutyClamped > 0) found.push(`${counters.dutyClamped} duties were above full scale and were clamped`);
    if (coupling === 'lock-step' && !this.hello.virtualTick) {
      found.push('the board does not take its time from the tick: its timers run in wall time and may act too early');
    }
    if (counters.asked === 0) found.push('the controller was never asked: the trigger did not switch the supply on');
    return found;
  }
}
