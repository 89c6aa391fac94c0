/** Plays the steps of a lesson on the bench of the worker, as the page does, and reads what they read. */

import { LESSONS } from '../../components/lessons/index.ts';
import type { Lesson, Step } from '../../components/lessons/lesson.ts';
import { measure } from '../../components/lessons/measure.ts';
import { type LessonBench, playStep } from '../../components/lessons/play.ts';
import type { Channel, DrillApi, PastNews, RunName, Span } from '../../worker/api.ts';
import { DrillService } from '../../worker/service.ts';

/** Periods between two looks whether time stands; the condition itself is looked at in every one. */
const AT_ONCE = 200;
/** A step that lasts longer than this has missed its condition [periods]: 10 s. */
const PATIENCE = 200_000;

export interface PlayedStep {
  readonly step: Step;
  readonly spans: readonly Span[];
  readonly values: readonly number[];
  /** Hash of the whole plant at the end. */ readonly hash: string;
}

export class LessonRig {
  readonly api: DrillApi;
  private readonly service = new DrillService();
  private readonly drill: string;

  constructor(drill = 'bench-18') {
    this.drill = drill;
    this.api = this.service.facade();
  }

  private get inside() {
    return this.service as unknown as {
      past: { news(): PastNews };
      made: { bench: { plant: { hash(): string } } };
    };
  }

  get bench(): LessonBench {
    const { api } = this;
    return {
      fresh: async (controller) => {
        api.freeze();
        api.load(this.drill, controller, 1);
      },
      setHands: api.setHands,
      setPace: api.setPace,
      armFault: api.armFault,
      fireFault: api.fireFault,
      freezeWhen: api.freezeWhen,
      ghostOf: api.ghostOf,
      untilItStands: async (count) => {
        for (let k = 0; k < PATIENCE; k += AT_ONCE) {
          api.step(AT_ONCE);
          const { freezes, now_s } = this.inside.past.news();
          if (freezes >= count) return now_s;
        }
        throw new Error('the condition that ends the phase never held');
      },
    };
  }

  async play(step: Step): Promise<PlayedStep> {
    const spans = await playStep(step, this.bench, () => false);
    const hash = this.inside.made.bench.plant.hash();
    const values = [];
    for (const reading of step.readings) values.push(await measure(this.api.look, reading, spans));
    return { step, spans, values, hash };
  }

  /** Every value of a channel in a span of the run on the bench. */
  record(channel: Channel, { from_s, to_s }: Span, run: RunName = 'now'): number[] {
    const { data } = this.api.look({ run, channels: [channel], from_s, to_s, points: 200_000 });
    return [...data[0]].filter((value) => !Number.isNaN(value));
  }
}

export function lessonOf(id: string): Lesson {
  const lesson = LESSONS.find((each) => each.id === id);
  if (!lesson) throw new Error(`no lesson '${id}'`);
  return lesson;
}
