/** Rules of this contract that the linter has none for. Each returns a visitor: node type to what is asked of it. */

const BOUNDED_FORMATS = ['date', 'date-time', 'uuid'];
const PROBLEM = { mediaType: 'application/problem+json', schema: '#/components/schemas/Problem' };
const BODY_PROBLEMS = ['400', '413', '415', '422'];
const RUNTIME_EXPRESSION =
  /^\$(url|method|statusCode|(request|response)\.(header\.[\w-]+|query\.\w+|path\.\w+|body(#\/.*)?))$/;

const PATH_WORDS = /^[a-z0-9]+([-.][a-z0-9]+)*$/;
const KIND_NAMES = /^[a-z]+(_[a-z]+)*$/;

const has = (schema, ...names) => names.some((name) => schema[name] !== undefined);
const is = (schema, ...types) => [schema.type].flat().some((type) => types.includes(type));

/** Under /v1/fleet a kind is written as in `kind` of the audit trail and in operation ids. */
const pathWords = () => ({
  PathItem(_, { report, key, location }) {
    const form = key.startsWith('/v1/fleet/') ? KIND_NAMES : PATH_WORDS;
    const words = key.split('/').filter((each) => each !== '' && !each.startsWith('{') && each !== 'v1');
    for (const word of words.filter((each) => !form.test(each))) {
      report({ message: `The word ${word} of the path is in lower case, its parts parted by -, or _ in the fleet.`, location: location.key() });
    }
  },
});

const schemaDescription = () => ({
  NamedSchemas: {
    Schema(schema, { report, location }) {
      if (!schema.description) report({ message: 'A component is described.', location: location.key() });
    },
  },
  Schema(schema, { report, location }) {
    for (const [name, property] of Object.entries(schema.properties ?? {})) {
      if (!property.description) {
        report({ message: `Property ${name} is described.`, location: location.child(['properties', name]).key() });
      }
    }
  },
});

const typedSchemas = () => ({
  Schema(schema, { report, location }) {
    if (typeof schema === 'boolean') return;
    if (!has(schema, 'type', 'const', 'anyOf', 'oneOf', 'allOf')) {
      report({ message: 'A schema says what it takes: type, const, or schemas to choose from.', location });
    }
  },
});

const boundedStrings = ({ except = [] }) => ({
  Schema(schema, { report, location }) {
    const isBounded = has(schema, 'maxLength', 'pattern', 'enum', 'const') || BOUNDED_FORMATS.includes(schema.format);
    if (is(schema, 'string') && !isBounded && !except.includes(location.pointer)) {
      report({ message: 'A string has maxLength, pattern, enum, const or the format of a date.', location });
    }
  },
});

const boundedArrays = () => ({
  Schema(schema, { report, location }) {
    if (is(schema, 'array') && !has(schema, 'maxItems')) report({ message: 'An array has maxItems.', location });
    if (is(schema, 'array') && !has(schema, 'items')) report({ message: 'An array says what its items are.', location });
  },
});

const boundedNumbers = () => ({
  Schema(schema, { report, location }) {
    if (!is(schema, 'number', 'integer') || has(schema, 'enum', 'const')) return;
    if (!has(schema, 'minimum', 'exclusiveMinimum')) report({ message: 'A number has a least value.', location });
    if (!has(schema, 'maximum', 'exclusiveMaximum')) report({ message: 'A number has a greatest value.', location });
  },
});

const quantifiedNumbers = () => ({
  Schema(schema, { report, location }) {
    if (is(schema, 'number', 'integer') && !schema['x-quantity']) {
      report({ message: 'A number says in x-quantity what kind of quantity it is.', location });
    }
  },
});

const problemAnswers = () => ({
  Operation(operation, { report, location, resolve }) {
    const responses = operation.responses ?? {};
    const hasPathParameter = (operation.parameters ?? []).some((each) => resolve(each).node?.in === 'path');
    const needed = [...(operation.requestBody ? BODY_PROBLEMS : []), ...(hasPathParameter ? ['404'] : []), '500'];
    for (const status of needed.filter((each) => !responses[each])) {
      report({ message: `The operation answers ${status} with a problem.`, location: location.child('responses').key() });
    }
    for (const status of Object.keys(responses).filter((each) => /^[45]/.test(each))) {
      const content = resolve(responses[status]).node?.content ?? {};
      const isProblem = content[PROBLEM.mediaType]?.schema?.$ref === PROBLEM.schema;
      if (!isProblem || Object.keys(content).length > 1) {
        report({ message: `The answer ${status} is a problem and nothing else.`, location: location.child(['responses', status]) });
      }
    }
  },
});

const examples = () => ({
  MediaType(media, { report, location }) {
    if (Object.keys(media.examples ?? {}).length === 0) {
      report({ message: 'A body is shown by an example at least.', location: location.key() });
    }
  },
});

const at = (value, pointer) =>
  pointer
    .split('/')
    .slice(1)
    .reduce((inner, step) => inner?.[step.replaceAll('~1', '/').replaceAll('~0', '~')], value);

/** Return the expressions in a value: itself, those embedded in a text, those anywhere in a body. */
const expressionsIn = (value) => {
  if (typeof value === 'object' && value !== null) return Object.values(value).flatMap(expressionsIn);
  const text = `${value}`;
  return text.startsWith('$') ? [text] : [...text.matchAll(/\{(\$[^}]*)\}/g)].map(([, embedded]) => embedded);
};

/** Tell an expression that is not well formed, or that points to what no example of the answer has. */
const isWrongExpression = (expression, answers) => {
  if (!RUNTIME_EXPRESSION.test(expression)) return true;
  const [source, pointer] = expression.split('#');
  return source === '$response.body' && pointer !== undefined && answers.every((each) => at(each, pointer) === undefined);
};

const linkFaults = (link, target, answers) => {
  if (!target) return [`there is no operation ${link.operationId}`];
  const keys = ({ name, in: where }) => [name, `${where}.${name}`];
  const known = target.parameters.flatMap(keys);
  const given = Object.entries(link.parameters ?? {});
  const missing = target.parameters.filter((each) => each.required && !given.some(([key]) => keys(each).includes(key)));
  return [
    ...given.filter(([key]) => !known.includes(key)).map(([key]) => `its operation has no parameter ${key}`),
    ...expressionsIn([link.parameters ?? {}, link.requestBody ?? {}])
      .filter((each) => isWrongExpression(each, answers))
      .map((each) => `there is no ${each}`),
    ...missing.map(({ name }) => `its operation needs the parameter ${name}`),
    ...(link.requestBody !== undefined && !target.takesBody ? ['its operation takes no body'] : []),
  ];
};

const linkTargets = () => {
  const targets = new Map();
  const links = [];
  return {
    Operation(operation, { resolve }) {
      const parameters = (operation.parameters ?? []).map((each) => resolve(each).node);
      targets.set(operation.operationId, { parameters, takesBody: operation.requestBody !== undefined });
    },
    Response(response, { location }) {
      const answers = Object.values(response.content ?? {}).flatMap((media) => Object.values(media.examples ?? {}));
      for (const [name, link] of Object.entries(response.links ?? {})) {
        links.push({ link, answers: answers.map(({ value }) => value), location: location.child(['links', name]) });
      }
    },
    Root: {
      leave(_, { report }) {
        for (const { link, answers, location } of links) {
          for (const fault of linkFaults(link, targets.get(link.operationId), answers)) {
            report({ message: `The link cannot be followed: ${fault}.`, location });
          }
        }
      },
    },
  };
};

export default () => ({
  id: 'axlewright',
  rules: {
    oas3: {
      'path-words': pathWords,
      'schema-description': schemaDescription,
      'typed-schemas': typedSchemas,
      'bounded-strings': boundedStrings,
      'bounded-arrays': boundedArrays,
      'bounded-numbers': boundedNumbers,
      'quantified-numbers': quantifiedNumbers,
      'problem-answers': problemAnswers,
      examples,
      'link-targets': linkTargets,
    },
  },
});
