import { readdir } from 'node:fs/promises';

/** Whether a folder holds a report of an earlier run, finished or not. */
export async function isReportFolder(dir: string): Promise<boolean> {
  const names = await entries(dir);
  return names.includes('run.json') && names.includes('records');
}

/** Why a report may not be written here; undefined where it may. Nothing that is not a report's own is ever written over. */
export async function folderProblem(dir: string): Promise<string | undefined> {
  const names = await entries(dir).catch((error: NodeJS.ErrnoException) => (error.code === 'ENOTDIR' ? error : Promise.reject(error)));
  if (names instanceof Error) return `${dir} is a file; choose a folder for the report`;
  if (names.length === 0 || names.includes('records')) return undefined;
  return `${dir} is not empty and holds no report; choose another folder for the report`;
}

async function entries(dir: string): Promise<readonly string[]> {
  try {
    return await readdir(dir);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
    throw error;
  }
}
