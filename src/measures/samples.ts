export { emptySamples, SampleList, type Samples } from '../geometry/samples.ts';
