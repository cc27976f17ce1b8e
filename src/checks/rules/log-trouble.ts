import type { Check, CheckInput, EventLook } from '../check.js';
import type { EventKind } from '../event.js';
import type { CheckResult, Evidence } from '../finding.js';
import { compareMoments, openFinding } from '../history.js';
import { baselineOf, isLater } from './growth-baseline.js';
import { isQuietSince } from './quiet.js';

const dayMs = 86_400_000;
const countsForMs = 30 * dayMs;
const rowsMax = 5;

/**
 * Claim: the kernel's log tells of no place of the drive that could not be read or written. One is
 * enough, for today: what lies there is lost unless a copy exists. Clears when a person accounts
 * for it, or after 30 days and 200 powered hours without another. Silent without such a line: that
 * none was written is no proof.
 */
export const placeUnreadable: Check = {
  code: 'place-unreadable',
  claim: 'The kernel’s log tells of no place that could not be read',
  judge: (input) => {
    if (input.kind !== 'drive') return [];
    const found = counted(input, 'place-unreadable', ({ kind }) => kind === 'medium-error');
    const about = {
      code: 'place-unreadable',
      subject: input.subject,
      unit: 'count',
      source: 'the kernel’s log since it is read, or since it was last accounted for',
      urgency: 'today',
    } as const;
    return resultOf(input, about, {
      found,
      isShort: found.length > 0,
      evidence: found.slice(0, rowsMax).map(placeRow),
    });
  },
};

const troubles: Readonly<Partial<Record<EventKind, string>>> = {
  'link-reset': 'Link reset',
  'link-lost': 'Link lost',
  'link-slowed': 'Link slowed by the kernel',
  'drive-reset': 'Drive reset, or its power came back',
  'transfer-damaged': 'Transfer damaged',
  'command-overdue': 'Command overdue',
  'drive-gone': 'Given up by the kernel',
};

/** Lines so close together are of one trouble: the kernel tells each step of its recovery. */
const oneTroubleMs = 10_000;
/** Our choice: a link may be reset now and then, three times in a week is a fault of the path. */
const troublesMax = 2;
const withinMs = 7 * dayMs;
/** Ports in trouble within this time share a cause (see the events of the kernel's log). */
const togetherMs = 2_000;

/**
 * Claim: the way to the drive was in trouble at most twice in a week, by the kernel's log: resets,
 * losses, overdue commands and damaged transfers, those of one recovery counted once. Blames the
 * path (cable, plugs, power lead, port), not the drive's surface. Trouble of several ports within 2
 * s counts for what they share alone, from the first time on. Clears when a person accounts for it,
 * or after 30 days and 200 powered hours without more. Silent without such lines.
 */
export const linkTrouble: Check = {
  code: 'link-trouble',
  claim: 'The way to the drive was in trouble at most twice in a week',
  judge: (input) => {
    if (input.kind !== 'drive') return [];
    return [...troubleOfItsOwn(input), ...troubleTogether(input)];
  },
};

function troubleOfItsOwn(input: CheckInput): readonly CheckResult[] {
  const together = counted(input, 'link-trouble', ({ kind }) => kind === 'power-pattern');
  const own = counted(input, 'link-trouble', (event) => troubles[event.kind] !== undefined).filter(
    (event) => !together.some((one) => isNear(one, event, togetherMs)),
  );
  const newest = own[0]?.wallMs ?? 0;
  const found = separate(own.filter(({ wallMs }) => newest - wallMs <= withinMs));
  return resultOf(input, aboutLink(input), {
    found,
    isShort: found.length > troublesMax,
    evidence: found.slice(0, rowsMax).map(troubleRow),
  });
}

/** What happened to several at once is told about what they share, or not at all. */
function troubleTogether(input: CheckInput): readonly CheckResult[] {
  const found = counted(input, 'link-trouble', ({ kind }) => kind === 'power-pattern');
  const [first] = found;
  if (first === undefined) return [];
  const about = aboutLink(input);
  return [
    {
      ...about,
      outcome: 'short',
      measured: found.length,
      expected: 0,
      evidence: found.slice(0, 1).map((event) => rowOf('In trouble with others', event)),
      sharedPart: about.sharedPart,
      otherSharedParts: [...about.otherSharedParts, ...(about.sharedPart === 'box' ? [] : ['box'])],
      onlyTogether: true,
    },
  ];
}

function aboutLink({ subject, powerLead, controller }: CheckInput) {
  const [first = 'box', ...others] = [powerLead, controller].filter((one) => one !== null);
  return {
    code: 'link-trouble',
    subject,
    unit: 'count',
    source: 'the kernel’s log, at most twice in a week',
    urgency: 'soon',
    sharedPart: first,
    otherSharedParts: others,
  } as const;
}

interface Found {
  readonly found: readonly EventLook[];
  readonly isShort: boolean;
  readonly evidence: readonly Evidence[];
}

type About = Pick<CheckResult, 'code' | 'subject' | 'unit' | 'source' | 'urgency' | 'sharedPart'>;

function resultOf(
  input: CheckInput,
  about: About,
  { found, isShort, evidence }: Found,
): readonly CheckResult[] {
  const expected = about.code === 'link-trouble' ? troublesMax : 0;
  const [newest] = found;
  if (newest !== undefined && isShort) {
    const figures = { measured: found.length, expected, evidence };
    const over = isQuietSince(input, newest);
    return [{ ...about, ...figures, outcome: over ? 'met' : 'short' }];
  }
  const open = openFinding(input, about.code);
  if (open === null || !isQuietSince(input, openedAt(open))) return [];
  return [{ ...about, measured: found.length, expected, evidence: [], outcome: 'met' }];
}

function openedAt({
  openedBoot: boot,
  openedMonoMs: monoMs,
  openedWallMs: wallMs,
}: {
  readonly openedBoot: number;
  readonly openedMonoMs: number;
  readonly openedWallMs: number;
}) {
  return { boot, monoMs, wallMs };
}

/** Events that count: after the baseline and not older than 30 days, newest first. */
function counted(
  input: CheckInput,
  code: string,
  isOne: (event: EventLook) => boolean,
): readonly EventLook[] {
  const baseline = baselineOf(input, code);
  return input.events
    .filter(isOne)
    .filter(({ wallMs }) => input.now.wallMs - wallMs <= countsForMs)
    .filter((event) => baseline === null || isLater(event, baseline))
    .toSorted((one, other) => compareMoments(other, one));
}

/** The first line of each trouble, of lines in order from the newest. */
function separate(events: readonly EventLook[]): readonly EventLook[] {
  return events.filter((event, index) => {
    const before = events[index + 1];
    return before === undefined || !isNear(event, before, oneTroubleMs);
  });
}

function isNear(one: EventLook, other: EventLook, ms: number): boolean {
  return one.boot === other.boot && Math.abs(one.monoMs - other.monoMs) <= ms;
}

function placeRow({ positionBytes, boot, monoMs }: EventLook): Evidence {
  return { label: 'Bytes from its start', value: positionBytes, unit: 'bytes', boot, monoMs };
}

function troubleRow(event: EventLook): Evidence {
  return rowOf(troubles[event.kind] ?? 'Trouble', event);
}

function rowOf(label: string, { boot, monoMs }: EventLook): Evidence {
  return { label, value: 1, unit: 'count', boot, monoMs };
}
