// A question's stand with a played thread: what is shown while it works, after, and when it is dropped.
import { describe, expect, it } from 'vitest';
import { Inquiries } from '#state/workbench/inquiries.svelte.ts';
import type { Asker } from '#state/workbench/inquiry.svelte.ts';

type Heard = Parameters<Asker['ask']>;

function played() {
  const asked: Heard[] = [];
  const ended: string[] = [];
  const inquiries = new Inquiries();
  inquiries.use({
    ask: (...heard) => void asked.push(heard as Heard),
    stop: (topic) => ended.push(`stop ${topic}`),
    forget: (topic) => ended.push(`forget ${topic}`),
    teach: () => {},
  });
  return { inquiries, asked, ended };
}
const question = { hop: 'Citra' } as never;

describe('inquiry', () => {
  it('goes from idle over work to an answer, and back', () => {
    const { inquiries, asked } = played();
    const { whyNot } = inquiries;
    expect(whyNot.stand.state).toBe('idle');
    whyNot.ask(question);
    expect(whyNot.working).toBe(true);
    expect(asked[0]!.slice(0, 2)).toEqual(['why_not', question]);
    asked[0]![2].found({ hop: 'Citra' } as never);
    expect(whyNot.finding).toEqual({ hop: 'Citra' });
    whyNot.clear();
    expect([whyNot.stand.state, whyNot.question]).toEqual(['idle', null]);
  });

  it('keeps what was refused or broke apart', () => {
    const { inquiries, asked } = played();
    inquiries.swap.ask(question);
    asked[0]![2].refused([{ path: '', message: 'm', cure: 'c' }]);
    expect(inquiries.swap.stand).toMatchObject({ state: 'refused', problems: [{ message: 'm' }] });
    inquiries.swap.ask(question);
    asked[1]![2].failed('gone');
    expect(inquiries.swap.stand).toEqual({ state: 'failed', reason: 'gone' });
  });

  it('drops what is at work when the blend is about to change, and keeps what is found', () => {
    const { inquiries, asked, ended } = played();
    inquiries.tradeoff.ask(question);
    inquiries.alternatives.ask(question);
    inquiries.save.ask(question);
    inquiries.swap.ask(question);
    asked[1]![2].found({} as never);
    asked[2]![2].found({} as never);
    inquiries.rest();
    expect(ended).toEqual(['forget tradeoff', 'forget swap']);
    expect(inquiries.alternatives.finding).toEqual({});
    expect(inquiries.save.finding).toEqual({});
    // What would take the place of the blend shown stays with that blend.
    inquiries.clear(false);
    expect(inquiries.alternatives.finding).toBeNull();
    expect(inquiries.save.finding).toEqual({});
    inquiries.clear();
    expect(inquiries.save.finding).toBeNull();
  });

  it('says so where nobody answers', () => {
    const inquiries = new Inquiries();
    inquiries.explain.ask(question);
    expect(inquiries.explain.stand.state).toBe('failed');
  });
});
