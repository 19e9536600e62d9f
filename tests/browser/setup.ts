import { forgetMeasuredDemo, keepMeasuredDemo } from './measuredDemo.ts';
import { openWorkbench } from './workbench.ts';

/** Before all browser tests: the demo drawer is measured once, by the page itself, and left for every visit. */
export default async function setup(): Promise<void> {
  forgetMeasuredDemo();
  const workbench = await openWorkbench();
  try {
    const { page } = await workbench.firstVisit();
    await keepMeasuredDemo(page);
  } finally {
    await workbench.close();
  }
}
