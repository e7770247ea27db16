namespace Capacityplan.Core.Reading;

/// <summary>A number of cores mentioned in a line of running text.</summary>
/// <param name="Token">Which token of the line holds the number, or the word for it.</param>
/// <param name="Start">Where it starts.</param>
/// <param name="Length">How long it is.</param>
/// <param name="Cores">The number, not yet judged.</param>
/// <param name="IsSaid">True where a word or option says that it counts cores; false where only its place does.</param>
internal readonly record struct CoresMention(int Token, int Start, int Length, double Cores, bool IsSaid);

/// <summary>A line of running text, searched for core counts and for the figures beside them.</summary>
internal sealed class FreeLine
{
    private readonly string _text;
    private readonly LineToken[] _tokens;

    // Words that name cores or an option for them belong to their number and label no figure.
    private readonly bool[] _isTaken;
    private readonly bool[] _isMention;

    public FreeLine(PastedLine line)
    {
        _text = line.Text;
        _tokens = line.Tokens;
        _isTaken = new bool[_tokens.Length];
        _isMention = new bool[_tokens.Length];
        Mentions = FindMentions(line.CommentMark);
        foreach (var mention in Mentions)
            _isMention[mention.Token] = true;
        (Figures, UnusedFigures) = FindFigures();
    }

    public IReadOnlyList<CoresMention> Mentions { get; }

    /// <summary>Tokens that hold the figures beside the core counts: the wall times, else other durations, else factors, rates or bare numbers.</summary>
    public IReadOnlyList<int> Figures { get; }

    /// <summary>Further durations of the line that are not used.</summary>
    public IReadOnlyList<int> UnusedFigures { get; }

    /// <summary>True where a word such as "real" or "took" says that the first figure is a wall time.</summary>
    public bool IsTimeSaid { get; private set; }

    /// <summary>True for the lines beside a wall time that only tell the processor's: "user 1m20s".</summary>
    public bool IsProcessorTime => Mentions.Count == 0 && Figures.Count == 0
        && Array.Exists(_tokens, token => token.Kind is TokenKind.Duration or TokenKind.Number)
        && Array.Exists(_tokens, token => token.Kind == TokenKind.Word && IsProcessorWord(token.In(_text)));

    /// <summary>True where the line holds nothing but one core count, with words for it or marks around it.</summary>
    public bool IsOnlyCores => Mentions.Count == 1 && Figures.Count == 0
        && _tokens.Where((token, at) => token.Kind != TokenKind.Mark && at != Mentions[0].Token && !_isTaken[at]).All(token =>
            token.Kind == TokenKind.Word && token.In(_text) is "on" or "with" or "using" or "run" or "running" or "Run" or "Running" or "With" or "On");

    /// <summary>True where the line names cores and then, behind a colon or an arrow, no figure: "8 cores: n/a".</summary>
    public bool LacksItsTime => Mentions is [{ IsSaid: true } mention] && Figures.Count == 0
        && (IsOnlyCores || RestAt(mention) > 0);

    /// <summary>Where the words begin that stand in place of a figure; the end of the line where there are none.</summary>
    public int RestStart => Mentions is [var mention] && RestAt(mention) is > 0 and var rest ? rest : _text.Length;

    /// <summary>The number that is all the line holds.</summary>
    public int? SoleNumber
    {
        get
        {
            var figures = Enumerable.Range(0, _tokens.Length).Where(at => _tokens[at].Kind != TokenKind.Mark).Take(2).ToList();
            return figures is [var only] && _tokens[only].Kind == TokenKind.Number ? only : null;
        }
    }

    /// <summary>True where the line holds one figure and nothing else.</summary>
    public bool IsOnlyFigure => Mentions.Count == 0 && Figures.Count == 1
        && _tokens.Count(token => token.Kind is not TokenKind.Mark) == 1;

    public LineToken Token(int at) => _tokens[at];

    private int RestAt(CoresMention mention)
    {
        var at = mention.Token + 1;
        while (at < _tokens.Length && _isTaken[at])
            at++;
        var marks = at;
        while (at < _tokens.Length && _tokens[at].Kind == TokenKind.Mark && _text[_tokens[at].Start] is ':' or '=' or '>' or '→' or '-' or '–')
            at++;
        return at > marks && at < _tokens.Length ? _tokens[at].Start : 0;
    }

    private List<CoresMention> FindMentions(int commentMark)
    {
        var mentions = new List<CoresMention>();
        for (var at = 0; at < _tokens.Length; at++)
        {
            var token = _tokens[at];
            if (token.Kind == TokenKind.Word && NumberWord(token.In(_text)) is { } cores && CoresWordAfter(at) is { } word)
            {
                _isTaken[at] = _isTaken[word] = true;
                mentions.Add(new CoresMention(at, token.Start, token.Length, cores, true));
            }
            else if (token.Kind == TokenKind.Number && (TakeCoresWordAfter(at) || TakeCoresWordBefore(at)))
            {
                mentions.Add(new CoresMention(at, token.Start, token.Length, token.Value, true));
            }
        }

        if (mentions.Count == 0 && LeadingCores(commentMark) is { } leading)
            mentions.Add(leading);
        return mentions;
    }

    /// <summary>"8 cores", "8-core", "8 physical cores", "8c".</summary>
    private bool TakeCoresWordAfter(int at)
    {
        if (CoresWordAfter(at) is { } word)
        {
            _isTaken[word] = true;
            return true;
        }

        if (at + 1 < _tokens.Length && _tokens[at + 1] is { Kind: TokenKind.Word } letter && letter.Start == _tokens[at].End
            && letter.In(_text) is "c" or "t" or "w" or "p")
        {
            _isTaken[at + 1] = true;
            return true;
        }

        return false;
    }

    private int? CoresWordAfter(int at)
    {
        var next = at + 1;
        if (next < _tokens.Length && _tokens[next].Kind == TokenKind.Mark && _text[_tokens[next].Start] == '-')
            next++;
        if (next + 1 < _tokens.Length && _tokens[next].Kind == TokenKind.Word && _tokens[next].In(_text) is
            "physical" or "logical" or "hardware" or "virtual" or "worker" or "parallel" or "processor" or "CPU" or "cpu"
            && _tokens[next + 1].Kind == TokenKind.Word && HeadingWords.IsCores(_tokens[next + 1].In(_text)))
        {
            next++;
        }

        // "8 threads: 16" names one count; in "time 12 threads 8" the word belongs to the number behind it.
        return next < _tokens.Length && _tokens[next].Kind == TokenKind.Word && !_isTaken[next] && HeadingWords.IsCores(_tokens[next].In(_text))
            && !(next + 1 < _tokens.Length && _tokens[next + 1].Kind == TokenKind.Mark && _text[_tokens[next + 1].Start] == '=')
            ? next
            : null;
    }

    /// <summary>"threads=8", "cores: 8", "workers used: 8", "-j8", "-t 8", "p=8".</summary>
    private bool TakeCoresWordBefore(int at)
    {
        var before = at - 1;
        var isAssigned = false;
        for (var marks = 0; before >= 0 && marks < 3; before--)
        {
            if (_tokens[before].Kind == TokenKind.Mark && _text[_tokens[before].Start] is '=' or ':' or '#' or '(' or '[' or '_')
            {
                isAssigned |= _text[_tokens[before].Start] is '=' or ':';
                marks++;
            }
            else if (!(_tokens[before].Kind == TokenKind.Word && _tokens[before].In(_text) is "count" or "used" or "number" or "of"))
            {
                break;
            }
        }

        if (before < 0 || _tokens[before].Kind != TokenKind.Word || _isTaken[before])
            return false;
        var word = _tokens[before].In(_text);
        if (word is "T" or "t" && IsArgument(before, at))
            return true;
        var isOption = before > 0 && _text[_tokens[before].Start - 1] == '-';

        // "650 % cpu 12.3" ends a figure; it does not begin a count.
        var isFree = isAssigned || before == 0 || _tokens[before - 1].Kind is TokenKind.Word or TokenKind.Mark;
        var saysCores = (isFree && HeadingWords.IsCores(word))
            || (word is "j" or "jobs" or "p" or "np" or "n" or "c" or "w" or "t" or "P" or "N" && (isOption || (isAssigned && word is not ("t" or "c" or "n" or "w"))));
        if (!saysCores)
            return false;
        for (var taken = before; taken < at; taken++)
            _isTaken[taken] = true;
        return true;
    }

    /// <summary>"T8 = ", "T(8): ".</summary>
    private bool IsArgument(int word, int number)
    {
        var next = number + 1;
        var isBracketed = number == word + 2 && _text[_tokens[word + 1].Start] == '(';
        if (isBracketed && next < _tokens.Length && _text[_tokens[next].Start] == ')')
            next++;
        return (isBracketed || _tokens[word].End == _tokens[number].Start)
            && next < _tokens.Length && _tokens[next].Kind == TokenKind.Mark && _text[_tokens[next].Start] is '=' or ':';
    }

    /// <summary>A number that begins the line and stands before a mark or a duration, or is all of it: "8: 12.4", "8 12.4s", "=== 8 ===".</summary>
    private CoresMention? LeadingCores(int commentMark)
    {
        var first = 0;
        while (first < _tokens.Length && _tokens[first].Kind == TokenKind.Mark)
            first++;
        if (first == _tokens.Length || _tokens[first].Kind != TokenKind.Number)
            return null;
        var token = _tokens[first];
        var mention = new CoresMention(first, token.Start, token.Length, token.Value, false);
        if (Array.TrueForAll(_tokens[(first + 1)..], next => next.Kind == TokenKind.Mark))
            return token.Value == Math.Floor(token.Value) ? mention : null;
        if (first > commentMark)
            return null;
        var next = first + 1;
        while (next < _tokens.Length && _tokens[next].Kind == TokenKind.Mark && _text[_tokens[next].Start] is ':' or '=' or '-' or '>' or '→' or '–' or '—' or '|')
            next++;
        if (next == _tokens.Length)
            return null;
        var isParted = next > first + 1;
        return _tokens[next].Kind is TokenKind.Duration or TokenKind.Factor or TokenKind.Rate || (isParted && _tokens[next].Kind == TokenKind.Number)
            ? mention
            : null;
    }

    private (List<int> Used, List<int> Unused) FindFigures()
    {
        List<int> said = [], durations = [], factors = [], rates = [], bare = [];
        for (var at = 0; at < _tokens.Length; at++)
        {
            var kind = _tokens[at].Kind;
            if (kind is TokenKind.Word or TokenKind.Mark or TokenKind.Other || _isMention[at])
                continue;
            if (kind == TokenKind.Factor)
            {
                factors.Add(at);
                continue;
            }

            if (kind == TokenKind.Rate)
            {
                rates.Add(at);
                continue;
            }

            var label = Label(at);
            if (label == FigureLabel.ProcessorTime)
                continue;
            if (label == FigureLabel.WallTime)
                said.Add(at);
            else if (kind == TokenKind.Duration)
                durations.Add(at);
            else
                bare.Add(at);
        }

        // A duration outranks a number some word calls a time: "done: 3 of 3 in 12.4 s".
        if (durations.Count > 0 && said.TrueForAll(at => _tokens[at].Kind == TokenKind.Number))
            said.Clear();
        IsTimeSaid = said.Count > 0;
        var isBareClear = Mentions.Count > 1 || (Mentions.Count == 1 && (bare.Count == 1 || AreListed(bare)));
        var used = said.Count > 0 ? said : durations.Count > 0 ? durations : factors.Count > 0 ? factors : rates.Count > 0 ? rates : isBareClear ? bare : [];
        if (Mentions.Count > 1)
            return (durations.Count > 0 ? [.. said.Concat(durations).Order()] : used, []);

        // Repeats stand in one list; a duration behind other words tells of something else.
        var repeats = used.Take(1).ToList();
        while (repeats.Count > 0 && repeats.Count < used.Count && AreListed([repeats[^1], used[repeats.Count]]))
            repeats.Add(used[repeats.Count]);
        return (repeats, [.. used.Skip(repeats.Count), .. said.Count > 0 ? durations : []]);
    }

    /// <summary>True where nothing but list marks stands between figures.</summary>
    private bool AreListed(List<int> figures)
    {
        for (var i = 1; i < figures.Count; i++)
        {
            for (var at = figures[i - 1] + 1; at < figures[i]; at++)
            {
                var isListMark = _tokens[at].Kind == TokenKind.Mark ? _text[_tokens[at].Start] is ',' or ';' or '/' or '|' or '&'
                    : _tokens[at].Kind == TokenKind.Word && _tokens[at].In(_text) is "and";
                if (!isListMark)
                    return false;
            }
        }

        return figures.Count > 1;
    }

    private enum FigureLabel
    {
        None,
        WallTime,
        ProcessorTime,
    }

    /// <summary>What the words around a figure call it: "real 12.3", "12.30 real", "Elapsed (wall clock) time: 0:12.34", "took 12.4".</summary>
    private FigureLabel Label(int figure)
    {
        if (figure + 1 < _tokens.Length && _tokens[figure + 1].Kind == TokenKind.Word && !_isTaken[figure + 1] && IsAfterLabel(_tokens[figure + 1].In(_text)))
            return IsProcessorWord(_tokens[figure + 1].In(_text)) ? FigureLabel.ProcessorTime : FigureLabel.WallTime;

        var label = FigureLabel.None;
        for (var at = figure - 1; at >= 0 && at >= figure - 24; at--)
        {
            var token = _tokens[at];
            if (token.Kind is TokenKind.Mark)
                continue;
            if (token.Kind != TokenKind.Word)
                break;
            if (_isTaken[at])
                continue;
            var word = token.In(_text);

            // A label behind the figure before belongs to that one.
            if (at > 0 && _tokens[at - 1].Kind is TokenKind.Duration or TokenKind.Number && IsAfterLabel(word))
                break;
            if (IsProcessorWord(word))
                return FigureLabel.ProcessorTime;
            if (HeadingWords.Of(word) == WordMeaning.Time || word is "in" || (word.Length > 1 && TimeUnits.TryFind(word, out _)))
                label = FigureLabel.WallTime;
        }

        return label;
    }

    private static bool IsAfterLabel(ReadOnlySpan<char> word) => word is "real" or "elapsed" or "total" or "wall" || IsProcessorWord(word);

    private static bool IsProcessorWord(ReadOnlySpan<char> word) => word is "user" or "User" or "usr" or "sys" or "Sys" or "system" or "System" or "cpu" or "CPU";

    private static int? NumberWord(ReadOnlySpan<char> word)
    {
        ReadOnlySpan<string> words = ["single", "one", "two", "three", "four", "five", "six", "seven", "eight"];
        for (var number = 0; number < words.Length; number++)
        {
            if (word.Equals(words[number], StringComparison.OrdinalIgnoreCase))
                return Math.Max(1, number);
        }

        return word.Equals("sixteen", StringComparison.OrdinalIgnoreCase) ? 16 : null;
    }
}
