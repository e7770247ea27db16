using System.Security.Cryptography;
using Microsoft.Extensions.Primitives;

namespace Capacityplan.Web.Serving;

/// <summary>Tells the browser what a page of ours may do. Everything comes from this host: no script, style, font or
/// picture is fetched from another, no other site may frame a page, and no device is asked for.</summary>
public static class SecurityHeaders
{
    private const string Referrer = "same-origin";

    private const string Permissions =
        "accelerometer=(), camera=(), display-capture=(), geolocation=(), gyroscope=(), magnetometer=(), microphone=(), "
        + "midi=(), payment=(), usb=()";

    private static readonly object s_nonceKey = new();

    /// <summary>Adds the headers to every response, whatever answers it.</summary>
    public static IApplicationBuilder UseSecurityHeaders(this IApplicationBuilder app) =>
        app.Use((context, next) =>
        {
            string nonce = Convert.ToBase64String(RandomNumberGenerator.GetBytes(16));
            context.Items[s_nonceKey] = nonce;

            // Set as the response starts: the error handler clears what was set before it.
            context.Response.OnStarting(() =>
            {
                IHeaderDictionary headers = context.Response.Headers;
                headers.ContentSecurityPolicy = Policy(nonce);
                headers.XContentTypeOptions = "nosniff";
                headers.XFrameOptions = "DENY";
                headers["Referrer-Policy"] = Referrer;
                headers["Permissions-Policy"] = Permissions;
                headers["Cross-Origin-Opener-Policy"] = "same-origin";
                headers["Cross-Origin-Resource-Policy"] = "same-origin";
                return Task.CompletedTask;
            });
            return next(context);
        });

    /// <summary>The number used once that lets this response's own inline import map run.</summary>
    /// <exception cref="InvalidOperationException">The request did not pass <see cref="UseSecurityHeaders"/>.</exception>
    public static string ScriptNonce(this HttpContext context) =>
        context.Items[s_nonceKey] as string
        ?? throw new InvalidOperationException($"{nameof(UseSecurityHeaders)} must come before anything that writes a page.");

    // Styles may be inline because components set positions and the theme's colours that way. Pictures may be data or
    // blob: a chart saved as a picture is drawn from one.
    private static StringValues Policy(string nonce) =>
        $"default-src 'self'; script-src 'self' 'nonce-{nonce}'; style-src 'self' 'unsafe-inline'; "
        + "img-src 'self' data: blob:; object-src 'none'; base-uri 'self'; form-action 'self'; frame-ancestors 'none'";
}
