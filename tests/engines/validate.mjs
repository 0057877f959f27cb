// Reads lines of JSON: {"shapes": N-Triples} sets the shapes, {"data": N-Triples} is validated against them and answered by one line,
// the violations as [focus node, source shape].
import { createInterface } from 'node:readline'
import { Parser, Store } from 'n3'
import Validator from 'rdf-validate-shacl'

const read = (text) => new Store(new Parser({ format: 'N-Triples' }).parse(text))
let validator
for await (const line of createInterface({ input: process.stdin })) {
  const { shapes, data } = JSON.parse(line)
  if (shapes !== undefined) {
    validator = new Validator(read(shapes))
    continue
  }
  const report = await validator.validate(read(data))
  console.log(JSON.stringify(report.results.map((result) => [result.focusNode.value, result.sourceShape.value])))
}
