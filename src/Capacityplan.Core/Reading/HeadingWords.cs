using System.Collections.Frozen;

namespace Capacityplan.Core.Reading;

/// <summary>What a word in the heading of a column, or before a figure in running text, says about it.</summary>
internal enum WordMeaning
{
    None,

    /// <summary>Cores, threads, workers.</summary>
    Cores,

    /// <summary>A letter some use for the number of cores; it says so only where nothing says more.</summary>
    PerhapsCores,

    /// <summary>Wall time.</summary>
    Time,

    /// <summary>A letter or word that means time only where nothing says more.</summary>
    PerhapsTime,

    Speedup,
    Rate,
    Sitting,

    /// <summary>A run: the time of one, or its number.</summary>
    Run,

    /// <summary>The number of a repeat within a sitting.</summary>
    Repeat,

    Size,
    PerhapsSize,

    /// <summary>A mean or median of runs.</summary>
    Central,

    /// <summary>The best or worst of runs.</summary>
    Extreme,

    /// <summary>A name: of a program, a machine, a case.</summary>
    Label,

    /// <summary>Something a forecast does not use: processor time, efficiency, spread, memory.</summary>
    Unused,
}

/// <summary>The words of headings, in the languages timings are pasted in.</summary>
internal static class HeadingWords
{
    private const int LongestWord = 40;

    private static readonly FrozenDictionary<string, WordMeaning>.AlternateLookup<ReadOnlySpan<char>> s_meanings = Words()
        .SelectMany(entry => entry.Words.Split(' '), (entry, word) => (Word: Fold(word), entry.Meaning))
        .ToFrozenDictionary(pair => pair.Word, pair => pair.Meaning, StringComparer.Ordinal)
        .GetAlternateLookup<ReadOnlySpan<char>>();

    /// <summary>What a word means; letter case and accents do not matter.</summary>
    public static WordMeaning Of(ReadOnlySpan<char> word)
    {
        if (word.Length > LongestWord)
            return WordMeaning.None;
        Span<char> folded = stackalloc char[2 * LongestWord];
        return s_meanings.TryGetValue(folded[..Fold(word, folded)], out var meaning) ? meaning : WordMeaning.None;
    }

    /// <summary>True for a word that means cores for certain.</summary>
    public static bool IsCores(ReadOnlySpan<char> word) => Of(word) == WordMeaning.Cores;

    private static IEnumerable<(WordMeaning Meaning, string Words)> Words() =>
    [
        (WordMeaning.Cores,
            "core cores cpu cpus vcpu vcpus thread threads worker workers processor processors processes proc procs pu pus ncore ncores nthread nthreads nworkers ncpu ncpus nproc nprocs numcores numthreads numworkers corecount threadcount workercount threading parallelism concurrency dop degree "
            + "kern kerne kernen prozessor prozessoren prozesse arbeiter fäden kernanzahl "
            + "cœur cœurs processeur processeurs fils "
            + "núcleo núcleos hilo hilos procesador procesadores processador processadores "
            + "nuclei processore processori kärna kärnor kjerne kjerner kerner tråd tråde tråder trådar draden "
            + "ydin ydintä ytimet säikeet säie rdzeń rdzenie rdzeni wątki jádro jádra vlákna magok szálak çekirdek "
            + "ядро ядра ядер поток потоки потоков процессор процессоров コア コア数 スレッド スレッド数 核 核数 核心 核心数 线程 线程数 코어 스레드"),
        (WordMeaning.PerhapsCores, "p np c w j k"),
        (WordMeaning.Time,
            "time times timing timings seconds wall walltime wallclock elapsed elapsedtime runtime exectime duration durations real took takes taken makespan latency finished completed done "
            + "zeit zeiten laufzeit laufzeiten dauer rechenzeit gesamtzeit durée durées temps tiempo tiempos duración tempo durata duração "
            + "tid tider tijd looptijd duur varighed varighet aika kesto czas doba trvání čas idő süre время длительность 时间 時間 用时 耗时 実行時間 所要時間 시간"),
        (WordMeaning.PerhapsTime, "t in total result"),
        (WordMeaning.Speedup, "speedup speedups scaling faster beschleunigung accélération aceleración accelerazione versnelling ускорение 加速比"),
        (WordMeaning.Rate, "throughput rate rates qps tps fps rps ops iops speed durchsatz débit rendimiento doorvoer пропускная 吞吐量 スループット"),
        (WordMeaning.Sitting, "sitting sittings session sessions day date night weekday sitzung tag datum nacht jour nuit séance día fecha noche giorno notte dag sesión sessione"),
        (WordMeaning.Run, "run runs lauf durchlauf essai passage pass essais corrida prova"),
        (WordMeaning.Repeat, "repeat repeats rep reps repetition repetitions iteration iterations iter trial trials attempt try sample wiederholung repetición"),
        (WordMeaning.Size, "size input inputs scale items rows records elements soundings tiles größe groesse eingabe taille entrée tamaño entrada dimensione"),
        (WordMeaning.PerhapsSize, "n"),
        (WordMeaning.Central, "mean avg average median mittel mittelwert moyenne médiane media mediana"),
        (WordMeaning.Extreme, "max best worst fastest slowest minimum maximum"),
        (WordMeaning.Label, "program programs job jobs name benchmark bench case test tests machine host hostname label what config programm programme"),
        (WordMeaning.Unused,
            "efficiency eff effizienz stddev stdev std sd sigma deviation error err variance var cv ci spread user usr sys system kernel memory mem ram rss cost price power energy watts temperature load node nodes socket sockets task tasks grain chunk chunks note notes comment comments remark remarks utilisation utilization usage index idx id"),
    ];

    private static string Fold(string word)
    {
        Span<char> folded = stackalloc char[2 * LongestWord];
        return folded[..Fold(word, folded)].ToString();
    }

    /// <summary>Lower case, Latin letters without accents. Normalization of Unicode is left aside, since it needs data some hosts lack.</summary>
    private static int Fold(ReadOnlySpan<char> word, Span<char> folded)
    {
        var at = 0;
        foreach (var symbol in word)
        {
            var letter = char.ToLowerInvariant(symbol);
            folded[at++] = letter switch { 'œ' => 'o', 'ß' => 's', _ => Plain(letter) };
            if (letter is 'œ' or 'ß')
                folded[at++] = letter == 'œ' ? 'e' : 's';
        }

        return at;
    }

    private static char Plain(char letter) => letter switch
    {
        'à' or 'á' or 'â' or 'ã' or 'ä' or 'å' or 'ą' => 'a',
        'ç' or 'č' or 'ć' => 'c',
        'è' or 'é' or 'ê' or 'ë' or 'ě' or 'ę' => 'e',
        'ì' or 'í' or 'î' or 'ï' or 'ı' => 'i',
        'ñ' or 'ň' or 'ń' => 'n',
        'ò' or 'ó' or 'ô' or 'õ' or 'ö' or 'ø' or 'ő' => 'o',
        'ù' or 'ú' or 'û' or 'ü' or 'ű' or 'ů' => 'u',
        'ý' or 'ÿ' => 'y',
        'ł' => 'l',
        'š' or 'ś' => 's',
        'ž' or 'ź' or 'ż' => 'z',
        _ => letter,
    };
}
