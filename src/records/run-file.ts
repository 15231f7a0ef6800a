import type { Software } from './software.ts';

/** `run.json`: what ran. */
export interface RunFile {
  readonly run: 1;
  readonly kind: 'survey' | 'before-after' | 'tracking';
  readonly title: string;
  readonly pipeline: { readonly file: string; readonly sha256: string; readonly content: unknown };
  readonly catalogue: { readonly file: string; readonly sha256: string };
  readonly software: Software;
  readonly node: string;
  readonly jobs: number;
  readonly startedAt: string;
  readonly finishedAt: string;
  /** Scans by what became of them. */
  readonly scans: { readonly asked: number; readonly measured: number; readonly reused: number; readonly failed: number };
  readonly inputs: readonly { readonly scan: string; readonly sha256: string | null; readonly record: string; readonly reused: boolean }[];
  readonly failures: readonly { readonly scan: string; readonly code: string; readonly message: string }[];
}
