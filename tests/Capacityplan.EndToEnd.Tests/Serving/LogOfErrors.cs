using System.Collections.Concurrent;
using Microsoft.Extensions.Logging;

namespace Capacityplan.EndToEnd.Tests.Serving;

/// <summary>Keeps what the program logs as errors: a page can look well while the server's log does not.</summary>
internal sealed class LogOfErrors : ILoggerProvider
{
    private readonly ConcurrentQueue<string> _entries = new();

    /// <summary>The errors so far, in order.</summary>
    public IReadOnlyCollection<string> Entries => [.. _entries];

    public ILogger CreateLogger(string categoryName) => new CategoryLog(categoryName, _entries);

    public void Dispose()
    {
    }

    private sealed class CategoryLog(string category, ConcurrentQueue<string> entries) : ILogger
    {
        public IDisposable? BeginScope<TState>(TState state)
            where TState : notnull => null;

        public bool IsEnabled(LogLevel logLevel) => logLevel >= LogLevel.Error;

        public void Log<TState>(LogLevel logLevel, EventId eventId, TState state, Exception? exception, Func<TState, Exception?, string> formatter)
        {
            if (IsEnabled(logLevel))
                entries.Enqueue($"server {logLevel}: {category}: {formatter(state, exception)} {exception}");
        }
    }
}
