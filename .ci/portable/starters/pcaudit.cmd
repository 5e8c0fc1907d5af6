@echo off
setlocal EnableExtensions DisableDelayedExpansion
set "ERRORLEVEL="
"%~dp0python\python.exe" -I -B -X utf8 -m pcaudit %*
exit /b %ERRORLEVEL%
